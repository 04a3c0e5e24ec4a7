"""The job book: every case kept, found again and learned from, in one file of SQLite. No Qt.

A case file stays what it is; the book keeps its text as it was, with its logs, photographs and reports, and finds it.
"""
