"""What is said wherever something asks for more than a stitcher's usual good day."""

# The usual advice (common practice of health bodies: short breaks often, light, posture), deferring to medical advice.
ADVICE = (
    "Short breaks often, good light and a supported back help more than one long rest; look up from your work now and "
    "then. With pain, numbness or tingling, see a doctor or physiotherapist. A smaller plan is fine too."
)
