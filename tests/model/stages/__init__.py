"""One file a stage: a tiny farm without luck, so that the whole log can be written down."""
