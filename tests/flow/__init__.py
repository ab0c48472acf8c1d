"""The server's steps, each on a whole invented hospital."""
