"""One rule judged on one site: the record and the run over a whole rule set."""
