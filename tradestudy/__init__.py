"""An optimisation workbench for stretching the span of small electric tailless foam wings.

Nothing of ours is imported here: a root that imports nothing keeps the rooms free of circles.
"""

__version__ = "0.1.0"
