"""Results of all commands as plain data. A report needs no other input."""
