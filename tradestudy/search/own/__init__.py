"""Objectives and limits that a user writes as plain functions of a wing."""
