"""Papers that travel: report, request, record."""
