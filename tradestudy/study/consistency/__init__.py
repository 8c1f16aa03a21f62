"""What must fit between the values of a study."""
