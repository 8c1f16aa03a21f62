"""Where designs are worked out: in this process, in processes beside it, or on a cluster; and the record."""
