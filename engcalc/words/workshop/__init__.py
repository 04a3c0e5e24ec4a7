"""The work around a diagnosis in words: steps of a job, refill, drive, live reading, job book, screening."""
