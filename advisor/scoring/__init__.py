"""The laboratory: bikes with hidden faults, a game of finding them, and how well that went.

The game
    game            the loop, what answers in it (`Answers`), what a policy chooses, the planner as a policy
    policies        simple orders to compare the planner with
    stand           answers: a bike of the engine model, examined by a person who may slip
    account_game    answers: a resolved case, which tells what its owner found
    network_game    answers: a bike drawn from the rule base's own network, and what each policy takes on it

What the stand is made of
    hidden_bikes    which faults a bike has, and whether it was set around them
    customers       which of these bikes a rider would bring in
    as_built        the bike's parts and its handbook's figures
    check_result    what a person finds by doing a check
    typed_reading   a reading as it is typed in
    screws          screws that a check turns, and leaves if that helped
    repairs         what else one repair cures, and on which sides

Figures
    score, rows     many bikes in batches; one bike as a row
    check_value     what each check tells alone
    log_odds        how much something told, in bits
    resolved        public accounts of real faults: the place of their cause
    network_bikes   the bikes of `network_game`
"""
