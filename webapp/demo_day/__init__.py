"""A shop's bikes that several riders share: what each is, what stands on it, what its springs have taught."""
