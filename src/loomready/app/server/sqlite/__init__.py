"""Django's SQLite, where those who write in this process take turns."""
