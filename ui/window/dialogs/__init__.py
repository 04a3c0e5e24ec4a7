"""Dialogs about papers: signing identities, exporting a report, checking one."""
