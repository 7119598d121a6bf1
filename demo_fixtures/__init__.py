"""The invented shop that `manage.py demo` opens: its words in JSON, its pictures drawn here."""
