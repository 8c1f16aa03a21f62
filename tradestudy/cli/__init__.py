"""The terminal. One file for each command, put together by `app`."""
