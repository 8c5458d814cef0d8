"""How right the numbers were: a shop's own first sag checks, what they would move, and the file that pools shops.

- actions/judge_shop: Judges the first sag check of each setup of a shop against what was expected of it.
- actions/pool_files: Pools the files of several shops into one table of estimates.
- actions/use_checks: Lets a shop's own checks move the centre of the classes that they are about.
- anonymous_file: A shop's judged first checks as a file that it can give away, and several such files read back.
- pages/calibration_page: How right the numbers were, as the strings of its page.
- queries: Statements about the sag checks of a shop's setups; each names the shop.
- tally: First checks added up: how often the range held by kind of spring, and what each class is off.
- views: How right we are: the shop's page, its switch, and the file that it can give away.
"""
