"""A shop as one file: everything of it out, and into the same shop on another server, under the same links.

- actions/export_shop: Everything of a shop as plain data: library, setups with all revisions, records, checklist, …
- actions/import_shop: Takes a shop's file into a shop here: what is new is added, what is the same stays, a …
- bikes: A shop's bikes, and what setups taught of its units, in its file: all tried before anything of it is stored.
- differences: What differs between a thing in a shop's file and the same thing here, told without its link.
- errors: Why a shop's file cannot be taken in.
- plain_values: What no value in a shop's file may be, wherever it stands: what no database or page of ours could take.
- queries/bikes: Statements that read and write a shop's bikes whole, as its file holds them; setups made on them go …
- queries/dues: Statements about when services are due, as a shop's file holds them.
- queries/shop: Statements that read and write a shop's rows whole, as its file holds them: moments as text, staff by …
- read_back: What an import stored, read back and presented as the pages do it, before the transaction ends.
- shape: What may stand where in a shop's file: every key known, every value of its kind and within its bounds.
- shop_file: A shop's file as text and back: bounded, and every document in it tried before anything of it is stored.
- stored_limits: The bounds that an ordinary save keeps, held against what a shop's file wants stored.
"""
