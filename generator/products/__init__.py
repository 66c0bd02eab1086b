"""The distinct parts of a job and where each stands: what models are made of, without a kernel."""
