"""One blueprint a module: read the input, call one service, present, answer."""
