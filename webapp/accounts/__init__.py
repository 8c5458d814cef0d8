"""Who may come in: shops, their staff, log-in and sessions.

- access: Who may open which page of the shop: `current_staff()` and the two decorators that every shop view carries.
- actions/change_password: Changes the password of an account, for its holder.
- actions/create_staff: Adds an account to a shop.
- actions/end_sessions: Ends sessions on the server, so that a copied cookie no longer works.
- actions/find_session: Checks whether the session of a browser is still valid.
- actions/log_in: Logs staff in: counts the attempt, checks the password, and refuses every wrong log-in with the …
- actions/logins: A login as it is stored: small letters, digits and a few signs, one form for all ways of typing it.
- actions/manage_staff: What an owner does with the accounts of the shop: see them, set a new password, a role, close …
- actions/open_shop: Creates a shop with its first account: on the command line, or by the one-time link of a first …
- actions/passwords: Passwords: hashed by Argon2id, checked in the same time whether or not there is anything to check.
- actions/shop_settings: What a shop says of itself: its phone, its time zone, how much its customers ride; and the …
- actions/throttle: Slows down guessing: attempts are counted for each login and each network, in the database all …
- actions/tokens: Tokens for a shop's tools: made and shown once, listed, revoked, and held against what a request …
- bearer: Who calls the JSON interface with a token of a shop: `Authorization: Bearer …`. No cookie is looked at.
- forms: The forms for accounts: log in, open a shop, change a password, add an account.
- known_device: The mark of a browser in which an account was logged in before: what others guess does not keep it out.
- pages: The strings of the shop's token list.
- queries: Statements about shops, their staff and log-in attempts; each takes the connection of its caller.
- shop: What a shop says of itself, with its bounds: phone, time zone, and how much its customers ride.
- staff: Who is signed in, as views and other actions see it: immutable, without the password.
- views/log_in: Log in and out, change one's own password, and the one-time link of the first start.
- views/staff: The owner's page of accounts: add, new password, role, close and open.
- views/tokens: The page of the tokens that a shop's tools use: listed, made and shown once, revoked.
"""
