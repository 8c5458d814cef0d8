"""The command line: serve, shop and staff, demo, doctor, purge.

- accounts: The `shop`, `staff` and `token` tasks: accounts made on the command line, the password asked for and …
- backup: The `backup` and `restore` tasks: the embedded database to a file and back, looked through and read before.
- calibration: The `calibration` task: how right the numbers were, by the checks stored here or by the files of …
- cards: The `cards` task: a table to sheets of cards, with progress; the shop's stacks; cancelling one.
- check_schema: What the database holds, for the `doctor` task.
- child_worker: The worker that `serve` keeps beside it: started when a stack waits, again if it dies, stopped last.
- cli: The command line: `setup-card serve` and the tasks beside it.
- day: The `day-file` and `erase-riders` tasks: the end of a demo day from the command line.
- demo: The `demo` task: fills an invented shop's own lists, to look at and to print.
- demo_data: What the `demo` task fills in: an invented shop's forks, shocks, bikes, checks and service records.
- doctor: The `doctor` task: shows what is missing, what is doubtful, and how to fix it.
- export_lists: The `export-list` task: a shop's records or setups as a CSV or JSON file, as its page gives them.
- gunicorn_settings: How gunicorn runs the app: `gunicorn -c python:webapp.commands.gunicorn_settings …
- http_server: The HTTP server: waitress, kept open to everybody by closing what idles, with the app's own page for …
- lan: `serve --lan`: a laptop on a field's own network, over plain http: its address, what phones can do there.
- move_shop: The `export-shop` and `import-shop` tasks: a shop from one server to another, under the same links.
- opened_app: The app for one task: its settings from the environment, its database let go of at the end.
- purge: The `purge` task, to be called by a timer.
- purge_expired: Erases expired setups, so that a rider's weight is not kept longer than needed.
- serve: Serves the app with waitress: finds a free port or says so, prints the address, purges once a day.
- worker: The `worker` task: makes cards by the stack until it is stopped.
"""
