"""The command `plycue` and the editor's desk in the browser."""
