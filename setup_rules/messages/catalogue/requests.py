"""What can be wrong with a request, a check or a ride as it is sent: each with what to do."""

from __future__ import annotations

from typing import Final

from setup_rules.messages.marking import N_, NN_, Template

SENTENCES: Final[dict[str, Template]] = {
    # any number
    "problem.outside": N_("{label}: {value} is outside {low} to {high}. {reason} Check the number."),
    "problem.outside_with_unit": N_(
        "{label}: {value} {unit} is outside {low} to {high} {unit}. {reason} Check the number and its unit."
    ),
    "problem.needed": N_("{label}: this is needed. Enter it."),
    "problem.no_number": N_("{label}: {found} is not a number. Enter a number."),
    "problem.not_whole": N_("{label}: {value} is not a whole number. Enter a whole number."),
    # shapes and names
    "problem.no_object": N_("Send an object with named values."),
    "problem.unknown_key": N_("Unknown key. The OpenAPI document lists every known key."),
    "problem.shop_checks": N_("What the shop's own sag checks say is not as this tool saves it. Leave it out."),
    "problem.unknown_choice": N_("{found} is not known. Choose one of {choices}."),
    "problem.no_flag": N_("{found} is not true or false. Send one of them."),
    "problem.no_list": N_("{found} is not a list. Send a list."),
    "problem.list_too_long": NN_(
        "One entry is more than {most}. Enter the last ones.",
        "{count} entries are more than {most}. Enter the last ones.",
    ),
    # fork and shock
    "problem.no_end": N_("Choose fork, shock or both."),
    "problem.no_fork": N_("This setup has no fork. Choose the shock."),
    "problem.no_shock": N_("This setup has no shock. Choose the fork."),
    "problem.longest_travel": N_(
        "Travel of {travel} mm is more than the maximum travel of {longest} mm without spacers. Check both numbers."
    ),
    "problem.pressure_limits": N_(
        "The minimum pressure of {low} psi is not below the maximum of {high} psi. Check both numbers."
    ),
    "problem.rod": N_("A rod of {rod} mm leaves no negative chamber in a bore of {bore} mm. Check both numbers."),
    "problem.rod_without_bore": N_(
        "A rod of {rod} mm may leave no negative chamber. Enter the bore too, or leave the rod out."
    ),
    "problem.port": N_(
        "An equalising port at {port} mm is beyond half of the {travel} mm of travel. Check the position."
    ),
    "problem.bore_needed": N_(
        "The volume of the positive chamber needs the bore too. Enter the bore, or leave the volume out."
    ),
    "problem.second_half": N_(
        "A second positive chamber needs its volume and its pressure ratio. Enter both, or leave the second chamber "
        "out."
    ),
    "problem.second_needs_first": N_(
        "The second positive chamber needs the volume and the bore of the first. They tell where "
        "it joins. Enter them, or leave the second chamber out."
    ),
    "problem.chamber_full": N_(
        "A chamber of {volume} cm³ with {spacers} cm³ of spacers has no room left at full compression, which takes "
        "{swept} cm³. Check volume, bore, travel and spacers."
    ),
    "problem.too_many_spacers": N_(
        "{count} volume spacers are more than the end of the stroke can hold, about {most}. Count them again, or enter "
        "the volume of one spacer, the bore and the volume of the positive chamber."
    ),
    "problem.air_lubricant": N_(
        "{lubricant} cm³ of oil or grease leave no room for the air at the end of the stroke. Check the amount."
    ),
    # coil main springs
    "problem.air_only": N_("Only an air spring has this, and the main spring here is a coil. Clear it, or choose air."),
    "problem.coil_only": N_("Only a coil main spring has this. Clear it, or choose coil as the main spring."),
    # damper points
    "problem.damper_point_beyond": N_(
        "A damper point at {clicks} clicks out is beyond all {total} clicks. Check both numbers."
    ),
    "problem.damper_points": N_("Give two damper points, each as clicks out and damping in N·s/m."),
    "problem.damper_points_order": N_("The second damper point must be further out and damp less. Check both."),
    # leverage
    "problem.leverage_needed": N_("{label}: this is needed. Enter it, or a table of leverage ratios."),
    "problem.leverage_pairs": N_("Give the leverage ratios as pairs of stroke position in mm and leverage ratio."),
    "problem.leverage_rows": N_("The table of leverage ratios needs 2 to 200 rows with rising stroke positions."),
    "problem.leverage_stroke": N_(
        "The table of leverage ratios runs from {first} to {last} mm, the stroke from 0 to {stroke} mm. Give the ratio "
        "over the whole stroke."
    ),
    "problem.wheel_travel": N_(
        "A stroke of {stroke} mm with this leverage ratio makes {travel} mm of wheel travel. Bicycles have {low} to "
        "{high} mm. Check stroke and leverage ratio."
    ),
    # chart
    "problem.chart_pairs": N_("Give the chart as pairs of rider weight in kg and pressure in psi."),
    "problem.chart_rows": NN_(
        "A chart of one row cannot be used. Enter 2 to 60 rows.",
        "A chart of {count} rows cannot be used. Enter 2 to 60 rows.",
    ),
    "problem.chart_row": N_("Row {row}: {problem}"),
    "problem.chart_order": N_(
        "Row {row}: weight and pressure must both rise from row to row. Check this row and the row above."
    ),
}
