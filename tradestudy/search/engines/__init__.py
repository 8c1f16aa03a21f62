"""The engines that run searches: this process, parallel processes or a cluster; and the record of their results."""
