"""What is said about each subject, as blocks: once, for terminal, report and packet."""
