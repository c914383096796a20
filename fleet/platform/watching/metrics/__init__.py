"""What a watcher reads: numbers of the whole installation, nothing of a contractor."""
