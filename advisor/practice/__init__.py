"""An apprentice practises on bikes with hidden faults: `dialogue` takes lines and returns records, `show` draws them.

A round without a terminal, here not kept on disk:

    talk = Talk(Round.drawn(advisor, seed=7, level="easy"))
    replies = talk.opening() + talk.stages() + talk.take("look rocker cover left") + talk.take("give up")
    replies += talk.review()
"""
