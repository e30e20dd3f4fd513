"""The door: from a bare Python to a whole ``.venv``, with the standard library alone."""
