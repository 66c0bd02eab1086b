"""The job spec: text read into a validated `Job`."""
