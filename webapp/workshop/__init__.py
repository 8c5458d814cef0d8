"""A shop's work on a bike: service records, checklist, leak check, and the shop's home.

- actions/change_record: Notes in an open service record: as found, each step, as left, and what its first setup is …
- actions/check_leak: Judges whether a spring holds its air. Nothing is saved.
- actions/close_record: Closes a service record: nothing of safety may be open, and the setup gets its revision, or …
- actions/describe_service: A service in one line, for the setup's history and the front of the card.
- actions/edit_checklist: A shop's own checklist: what every new record starts with.
- actions/find_records: Finds a shop's service records: one by its code, many by bike, day, customer reference or card.
- actions/open_record: Brings a bike in: a new service record with the shop's checklist.
- actions/records: What the actions on service records share: finding a shop's record, changing an open one, and who …
- entries: What a form hands to the actions on service records: a bike as it comes in, and a unit as it leaves.
- forms/checklist_form: A shop's checklist as a form: one row a step, in the order that their numbers give, and room …
- forms/leak_form: Two pressures, two temperatures and the time between them.
- forms/record_forms: The forms of a service record around its steps: bike in, as found, as left, and the search box.
- forms/step_forms: What is entered for a step of a service: one form for each kind of step, each giving plain values …
- pages/leak_page: A leak check as sentences: the verdict, the loss with its uncertainty, and how long to wait for a …
- pages/record_page: A service record as the strings of its page, of the list, and of its history.
- pages/step_lines: The steps of a service as lines: what was entered, in words, and how it is to be judged.
- queries: Statements about service records, their history and the shops' checklists. Every one names the shop.
- views/home: The shop's home: what was set up lately, found again by short code, bike or day.
- views/leak: The leak check: readings in, verdict out. Nothing is saved, so it needs neither log-in nor form token.
- views/records: Service records: bikes in, found and left, and closing. Everything here is of the signed-in member's …
- views/steps: The steps of a service record, its first setup, and the shop's checklist.
"""
