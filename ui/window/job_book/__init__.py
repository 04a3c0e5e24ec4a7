"""The job book in the window: jobs found and opened, cases kept, how a job ended, what the workshop's count says."""
