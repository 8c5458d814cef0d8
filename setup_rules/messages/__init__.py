"""Words and numbers of the sentences that go with an answer.

- wording: Words and numbers that several sentences of the rules share.
"""
