"""What stands above the columns of the tables of materials, in the order in which they are shown."""

STASH = {
    "code": "colour",
    "name": "name",
    "on_hand": "on hand",
    "to_come_skeins": "to come",
    "to_buy": "to buy",
    "chance_enough": "will do",
    "pieces": "pieces",
}
TO_BUY = {
    "code": "colour",
    "name": "name",
    "hex": "on screen",
    "skeins": "skeins",
    "to_be_sure": "to be sure",
    "pieces": "for",
}
THREAD = {
    "piece": "piece",
    "code": "colour",
    "name": "name",
    "stitches": "stitches",
    "length_m": "metres",
    "skeins": "skeins",
    "to_come_skeins": "to come",
    "on_hand": "on hand",
    "to_buy": "to buy",
}
VISIBILITY = {
    "piece": "piece",
    "code": "colour",
    "name": "name",
    "hex": "thread",
    "fabric_hex": "cloth",
    "delta_e": "difference",
    "contrast": "contrast",
    "says": "on its cloth",
}
SIMILAR = {
    "code": "colour",
    "name": "name",
    "hex": "on screen",
    "other_code": "and",
    "other_name": "name",
    "other_hex": "on screen",
    "delta_e": "difference",
    "piece": "in",
}
USABLE = {
    "code": "colour",
    "name": "name",
    "needed": "needed",
    "on_hand": "on hand",
    "spoken_for": "spoken for",
    "free": "free",
    "to_buy": "to buy",
    "instead": "or take",
    "instead_name": "its name",
    "instead_hex": "on screen",
}
SIZES = {
    "cloth": "cloth",
    "strands": "strands",
    "width_cm": "width, cm",
    "height_cm": "height, cm",
    "cut_width_cm": "cut, cm",
    "cut_height_cm": "by",
    "width_in": "width, in",
    "height_in": "height, in",
    "hours": "hours",
}
