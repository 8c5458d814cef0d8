"""Published relations, one a function: air, springs, loads, leverage, damping, geometry."""
