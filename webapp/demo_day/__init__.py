"""A shop's bikes that several riders share: what each is, what stands on it, what its springs have taught.

- actions/confirm_standing: Writes down what somebody has set on a bike: nothing else moves what stands on it.
- actions/create_bike: Adds a bike to a shop, once under a key, with the tag that its QR code will carry.
- actions/find_bike: Finds a bike of a shop.
- actions/list_bikes: Gives a shop's bikes page by page, and looks one up by what stands on it: its number, or its tag.
- actions/report_event: Tells a bike what happened to one of its springs: its memory is widened or ended, and what is …
- actions/set_up_bike: Makes a rider's setup on a bike, from what its springs remember, and says what to change on …
- actions/teach_bike: A sag check on a setup that was made on a bike teaches the bike, once; a struck one takes its …
- bike: A shop's bike as the room sees it: immutable, without any rider.
- changes: What to change on a bike: from what stands on it to what a setup asks for.
- parsing: A bike as plain data: what the JSON interface sends of one, judged by the rules' own reader.
- queries: Statements about a shop's bikes, their memories, and the setups made on them; each names the shop or the …
"""
