"""What a dispatcher does with a week, one function each; ``planning`` alone brings the solver."""
