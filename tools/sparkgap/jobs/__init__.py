"""The papers of a job."""
