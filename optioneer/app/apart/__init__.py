"""Long work in a process beside the server: what it is asked, what it does, what it keeps."""
