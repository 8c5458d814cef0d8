"""A saved setup: the form it comes from, its page, its link and its owner.

- actions/append_revision: Saves a new revision of a setup: nothing is overwritten, and a second save at the same …
- actions/create_setup: Saves a new setup: computes it, gives it a link and an owner's key, and stores its first …
- actions/delete_setup: Erases a setup for its owner.
- actions/export_setup: Everything that is stored about a setup, as plain data for its owner.
- actions/find_by_owner_key: Finds the setup that an owner's key opens.
- actions/find_revision: Which revision a link leads to, without reading it: for what was made of that revision before.
- actions/find_setup: Finds a saved setup by whatever a person typed, scanned or clicked.
- actions/list_revisions: Lists all revisions of a setup, each with what its ends were set to.
- actions/renew_link: Gives a setup a new link when someone should no longer have access.
- actions/round_weights: A rider's weight is personal: it is rounded before anything is computed from it or stored.
- actions/shop_setups: The setups that a shop's staff saved: registered under a short code, and found again by it, by …
- documents: A `Setup` as plain data and back, exactly: what is stored today must answer the same in years.
- forms/cached_form_page: The page of the empty form, drawn once: only its token and its key differ from one visit to …
- forms/end_forms: The parts of the setup form: one spring end each, and the air in two places.
- forms/find_form: The box that takes a scanned or typed card link, or only its code.
- forms/leverage: Leverage ratio of a rear linkage from the wheel travel, for people who do not know its curve.
- forms/setup_form: The form behind the front page: rider, bike, spring ends and air, read into one `SetupRequest`.
- one_time_owner_link: Carries a new setup's owner key, once, from the save to the page that shows it.
- pages/pictures: The three start numbers of one end as drawings: places in numbers, every word ready to show.
- pages/setup_page: A saved setup as the strings of its page: the large numbers, the steps, and the reasons.
- pages/steps: The work at the bike in its order: pump every end, measure every end, then set the adjusters.
- queries/setups: Every statement that reads or writes rows; each takes the connection that its caller opened.
- queries/shop_setups: Statements about which saved setups are a shop's own; each takes the connection of its caller.
- revision: A saved setup at one revision: the one shape that is stored, shown, and followed by the next.
- stored_notes: A note as plain data and back, also one that was stored before sentences had keys: that one keeps its …
- views/owner: The owner's own page: download everything, renew the link, delete. Opened by the owner's key alone.
- views/setup: The form, the saved setup's page, and the box that opens a card.
"""
