"""Who audits units: this thread, a few threads, or processes.  All do the same work and leave the same files."""
