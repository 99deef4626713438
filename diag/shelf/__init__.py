"""Which of these data sheets or labels meets the specification, and why not."""
