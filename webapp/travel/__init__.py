"""A change of travel for a saved setup: planned, and saved.

- actions: Plans a change of a saved setup's travel, and saves it as a new revision.
- forms: The form of a travel change: wanted travel, limits of fork and frame, and the spacers on hand.
- pages: A planned change of travel as the strings of its page: stacks, numbers before and after, geometry, and the …
- views: The travel change of a saved setup: anyone with its link can plan one and save it as a new revision.
- wording: A change of travel in words: on the page, on the card and in the history.
"""
