"""How the sample sites are made: what stands where, three years of visits, and four ways of writing it down."""
