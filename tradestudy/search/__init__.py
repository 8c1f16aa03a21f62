"""Study in, Result out: builds the model, varies the choices, keeps what was found."""
