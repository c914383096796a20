"""Setting up a machine: from nothing to a first assessment, step by step."""
