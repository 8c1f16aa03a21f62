"""The data of a study's model, and the chain of stages that evaluates designs."""
