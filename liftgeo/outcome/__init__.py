"""What an analysis finds: the outcome of one mechanism or many, and its results."""
