"""A page as bytes: terminal, e-mail, HTML, PDF, documents, calendars."""
