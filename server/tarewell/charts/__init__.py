"""What the charts of the records show: the errors of a channel, and the trace of a pour."""
