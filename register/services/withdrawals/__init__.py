"""Items out of service: how they got there, what keeps them there, and how they come back or leave for good."""
