"""Words and numbers of the sentences that go with an answer."""
