"""How surfaces are made: plates of the plan, and sections that move."""
