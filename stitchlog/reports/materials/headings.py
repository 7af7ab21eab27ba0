"""What stands above the columns of the tables of materials, in the order in which they are shown."""

_COLOUR = {"code": "colour", "name": "name"}

STASH = _COLOUR | {"on_hand": "on hand", "to_come_skeins": "to come", "to_buy": "to buy", "chance_enough": "will do"}
STASH |= {"pieces": "pieces"}
TO_BUY = _COLOUR | {"hex": "on screen", "skeins": "skeins", "to_be_sure": "to be sure", "pieces": "for"}
THREAD = {"piece": "piece"} | _COLOUR | {"stitches": "stitches", "length_m": "metres", "skeins": "skeins"}
THREAD |= {"to_come_skeins": "to come", "on_hand": "on hand", "to_buy": "to buy"}
VISIBILITY = {"piece": "piece"} | _COLOUR | {"hex": "thread", "fabric_hex": "cloth", "delta_e": "difference"}
VISIBILITY |= {"contrast": "contrast", "says": "on its cloth"}
SIMILAR = _COLOUR | {"hex": "on screen", "other_code": "and", "other_name": "name", "other_hex": "on screen"}
SIMILAR |= {"delta_e": "difference", "piece": "in"}
USABLE = _COLOUR | {"needed": "needed", "on_hand": "on hand", "spoken_for": "spoken for", "free": "free"}
USABLE |= {"to_buy": "to buy", "instead": "or take", "instead_name": "its name", "instead_hex": "on screen"}
SIZES = {"cloth": "cloth", "strands": "strands", "width_cm": "width, cm", "height_cm": "height, cm"}
SIZES |= {"cut_width_cm": "cut, cm", "cut_height_cm": "by", "width_in": "width, in", "height_in": "height, in"}
SIZES |= {"hours": "hours"}
