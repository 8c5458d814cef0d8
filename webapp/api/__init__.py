"""The JSON interface for outside tools, and the document that describes it.

- bike_query: Which of a shop's bikes are asked for.
- forms/bike_query: The query of a shop's bikes: a page of them, or the one that has a number or a tag.
- forms/client_key: The idempotency key of a creation, which has no secret link yet: bound to its client unless it is …
- forms/correction_body: What the JSON interface is sent about a saved setup, read strictly: a check, a ride, or what …
- forms/history_page: The query of a setup's history: after which revision, and how many.
- forms/setup_body: What the JSON interface is sent, read strictly: every problem named, nothing guessed.
- forms/shop_checks: What outside tools may not send: what a shop's own checks say, and what the scale's own day keeps.
- history_page: Which part of a setup's history is asked for.
- pages/answers: A saved setup as the JSON interface gives it: plain numbers, the unit in the key.
- pages/bike_answers: A shop's bike as the JSON interface gives it: nothing of any rider.
- pages/coil_answers: What the JSON interface says of an end with a coil main spring, and how that is described.
- pages/openapi: The OpenAPI 3.1 document of the JSON interface.
- pages/openapi_bikes: The part of the interface's description about a shop's bikes, for tools with a token of the shop.
- pages/openapi_corrections: The part of the interface's description about a saved setup: checks, rides, changes and …
- pages/openapi_parts: Parts that every path of the interface's description is put together from.
- pages/schemas: JSON schemas of the interface, made from the dataclasses and limits that the validation itself reads.
- pages/second_chamber_answers: What the JSON interface says of a second positive chamber, and how that is described.
- views/bikes: The JSON interface on a shop's bikes, for the shop's own tools: every route asks for a token.
- views/corrections: The JSON interface on a saved setup: checks, rides, changed circumstances and the history they …
- views/setups: The JSON interface for outside tools: POST and GET of setups, and the document that describes it.
"""
