"""The live page: a server on this machine alone, which shows one wing while it is changed."""
