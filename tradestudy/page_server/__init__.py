"""The live page of a study, served to a browser on the same machine."""
