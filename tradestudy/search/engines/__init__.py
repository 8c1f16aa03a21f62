"""The task engines (this process, parallel processes or a cluster), and the record of results."""
