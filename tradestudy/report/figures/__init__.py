"""The figures of the report. Each figure is a function of a Result."""
