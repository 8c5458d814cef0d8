"""A shop's work on a bike: service records, checklist, leak check, and the shop's home.

- actions/change_record: Changes in an open service record: as received, each step, final settings, and the draft of …
- actions/check_leak: Judges whether a spring holds its air. Nothing is saved.
- actions/close_record: Closes a service record: every safety step must be done, and the setup gets a new revision, …
- actions/describe_service: A service in one line, for the setup's history and the front of the card.
- actions/edit_checklist: A shop's own checklist: what every new record starts with.
- actions/find_records: Finds a shop's service records: one by its code, many by bike, day, customer reference or card.
- actions/open_record: Starts a new service record with the shop's checklist.
- actions/records: What the actions on service records share: finding a shop's record, changing an open one, and who …
- entries: What forms hand to the actions: a bike as received, and a fork or shock with its final settings.
- forms/checklist_form: A shop's checklist as a form: one row a step, in the order that their numbers give, and room …
- forms/leak_form: Two pressures, two temperatures and the time between them.
- forms/record_forms: The forms of a service record around its steps: received, final settings, and the search box.
- forms/step_forms: What is entered for a step of a service: one form for each kind of step, each giving plain values …
- pages/leak_page: A leak check as sentences: the verdict, the loss with its uncertainty, and how long to wait for a …
- pages/record_page: A service record as the strings of its page, of the list, and of its history.
- pages/step_lines: The steps of a service as lines: what was entered, and what is wrong with it.
- queries: Statements about service records, their history and the shops' checklists. Every one names the shop.
- views/home: The shop's home: its latest setups, found by short code, bike or date.
- views/leak: The leak check: two readings in, the result out. Nothing is saved, so it needs neither log-in nor CSRF …
- views/records: Service records: start, fill in and close them. Everything here belongs to the signed-in member's shop.
- views/steps: The steps of a service record, its first setup, and the shop's checklist.
"""
