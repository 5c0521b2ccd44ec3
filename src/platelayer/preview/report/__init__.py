"""What is said about a job, as text and as data."""
