"""What is not known: size classes, drawn springs, readings as likelihood, the start setting that follows."""
