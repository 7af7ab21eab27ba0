"""What stands above the columns of the tables of materials, in the order in which they are shown."""

_COLOUR = {"code": "colour", "name": "name"}

NEEDED = _COLOUR | {"on_hand": "on hand", "needed_skeins": "still needed", "to_buy": "to buy"}
NEEDED |= {"chance_enough": "enough?", "pieces": "pieces"}
TO_BUY = _COLOUR | {"hex": "on screen", "skeins": "skeins", "to_be_safe": "to be safe", "pieces": "for"}
THREAD = {"piece": "piece"} | _COLOUR | {"stitches": "stitches", "length_m": "metres", "skeins": "skeins"}
THREAD |= {"needed_skeins": "still needed", "on_hand": "on hand", "to_buy": "to buy"}
VISIBILITY = {"piece": "piece"} | _COLOUR | {"hex": "thread", "fabric_hex": "fabric", "delta_e": "difference"}
VISIBILITY |= {"contrast": "contrast", "says": "on its fabric"}
SIMILAR = _COLOUR | {"hex": "on screen", "other_code": "and", "other_name": "name", "other_hex": "on screen"}
SIMILAR |= {"delta_e": "difference", "piece": "in"}
USABLE = _COLOUR | {"needed": "needed", "on_hand": "on hand", "spoken_for": "for your WIPs", "free": "left over"}
USABLE |= {"to_buy": "to buy", "instead": "or use", "instead_name": "its name", "instead_hex": "on screen"}
SIZES = {"fabric": "fabric", "strands": "strands", "width_cm": "width, cm", "height_cm": "height, cm"}
SIZES |= {"cut_width_cm": "cut, cm", "cut_height_cm": "by", "width_in": "width, in", "height_in": "height, in"}
SIZES |= {"hours": "hours"}
