"""The job table, and the messages that say a job is due."""
