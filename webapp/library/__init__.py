"""A shop's forks and shocks: what is known of each, its printed charts, files in and out.

- actions/chart_fit: How a unit's printed charts and the spring model go together: what the model would say, and how …
- actions/find_units: Looks into a shop's unit library.
- actions/save_unit: Saves a unit of the library, one or a whole file of them, and retires what is no longer in use.
- forms/unit_csv: Units in a CSV file: one row each, columns named like the fields, lists apart by spaces in their cell.
- forms/unit_file: A file of units, CSV or TOML, read whole: every problem with its line, or every unit and no problem.
- forms/unit_form: One unit of the library as a form: every field may stay empty, the rules' own reader judges what …
- forms/unit_toml: Units in a TOML file: one `[[unit]]` table each, its keys the fields of a unit.
- forms/units_file_form: The upload of a file of units: the bytes, what they are, and whether known units are replaced.
- merging: What of a unit goes into a setup's request: everything that was not typed, at the travel that is fitted.
- pages/chart_page: A unit's printed chart beside the spring model: numbers to draw and every word of the drawing and …
- pages/chart_plot: A weight-pressure chart over the range of the spring model, as inline SVG written by hand: no …
- pages/unit_files: A shop's units as the files that can be read back: CSV for table programs, TOML for people.
- pages/unit_page: The strings of the unit library's pages.
- parsing: A unit as plain data and back: the shape of the TOML file, of the stored document and of a form's values.
- queries: Statements about the units of a shop; each names the shop, so that no other shop's unit is ever found.
- saved_unit: What actions hand out of a unit library: saved units and pages of them, immutable and without rows.
- unit: A fork or shock as a shop knows it. Every field but kind and name may be unknown: the size class stands in.
- views: The shop's unit library: list, edit, copy, retire, and whole files in and out.
"""
