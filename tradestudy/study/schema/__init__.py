"""The tables and keys of study files, measurements files and overlays (files of fitted factors)."""
