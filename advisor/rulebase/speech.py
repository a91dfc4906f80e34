"""How people speak of motorcycles: the words that say no, that praise, that mean the same, and that say nothing alone.

These are words of any English speaker. What names a sign stands on its page.
"""

NOES = (  # what becomes one word that says no
    *("wont", "dont", "doesnt", "didnt", "isnt", "isn", "wasnt", "arent", "werent", "cant", "cannot", "couldnt"),
    *("wouldnt", "hasnt", "havent", "hadnt", "shouldnt", "aint", "never", "no", "none", "nor", "neither", "nil"),
    *("zero", "refuses to", "refuse to", "refused to", "refuses", "fails to", "failed to", "fail to", "unable to"),
    *("no longer", "impossible to", "cant get it to", "cant get her to", "can not get it to", "will not let me"),
    *("nae", "na", "nothing", "nowt", "naething", "isna", "wilna", "lack of", "lacks", "lacking", "free of"),
    *("free from", "gone away", "went away", "disappeared", "is cured", "are cured", "has cleared up"),
    *("does not seem to", "not really", "not at all", "not once", "not ever", "hasnt got any", "there is no"),
    *("there are no", "nary a", "not any more", "not a", "not an", "not any", "no sign of", "no signs of"),
    *("no trace of", "no hint of"),
)
PRAISE = (  # what becomes one word that says that something is as it should be
    *(
        "fine",
        "good",
        "is right",
        "are right",
        "was right",
        "looks right",
        "sounds right",
        "set right",
        "feels right",
        "no difference",
        "no odds",
        "happy",
        "dead right",
        "great",
        "ok",
        "okay",
        "alright",
        "all right",
        "perfect",
        "perfectly",
        "sweet",
        "sweetly",
    ),
    *("lovely", "nice", "nicely", "grand", "spot on", "normal", "normally", "properly", "proper", "healthy"),
    *("sound as", "beautiful", "beautifully", "smooth", "smoothly", "evenly", "steadily", "cleanly", "happily"),
    *("strongly", "like a train", "like a dream", "like butter", "like a watch", "like clockwork", "like stink"),
    *("like a rocket", "sweet as a nut", "as it should", "as they should", "as should be", "tip top", "as new"),
    *("like new", "bang on", "right on the mark", "tickety boo", "excellent", "superb", "super", "no lack of"),
    *("no shortage of", "plenty of", "no problem", "no problems", "no trouble", "no troubles", "no issue"),
    *("no issues", "no bother", "no drama", "no dramas", "no complaint", "no complaints", "no worries"),
    *("no difficulty", "no fault", "no faults", "nothing wrong with", "nothing wrong", "nothing to complain of"),
    *("nothing to complain about", "nothing to complain", "cant complain", "can not complain", "cannot complain"),
    *("cant fault", "not bad", "not too bad", "not so bad", "not half bad", "trouble free", "without trouble"),
    *("without a problem", "without any trouble", "without problems", "without fuss", "unchanged"),
    *("has not changed", "havent changed", "hasnt changed", "not changed", "in order", "faultless", "faultlessly"),
    *("flawless", "flawlessly", "crisp", "in good shape", "in good nick", "in good condition", "in good order"),
    *("in spec", "within spec", "to spec", "up to spec", "within limits", "by the book", "to the book"),
    *("as per the book", "as per book", "checks out", "checked out", "tests well", "tested well", "all good"),
    *("a ok", "purrs", "purring", "purrs along", "like a clock", "like a kitten", "like a swiss watch"),
    *("never misses a beat", "does not miss a beat", "doesnt miss a beat", "without missing a beat"),
    *("without a hiccup", "no hiccups", "not a hiccup", "like a charm", "a treat", "lovely jubbly", "a joy"),
    *("delightful", "works as it should", "works as normal", "does what it should", "as usual", "as always"),
    *("as ever", "same as ever", "like the clappers", "like a bomb", "like a scalded cat", "instantly"),
    *("willingly", "eagerly", "freely", "easily", "is not the problem", "isnt the problem", "not the problem"),
    *("not an issue", "isnt an issue", "non issue", "tidy", "without any problem", "without any problems"),
    *("without any bother", "without issue", "without issues", "satisfactory", "no qualms", "no quarrel with"),
    *("nothing untoward", "nothing unusual", "nothing out of the ordinary", "nothing odd", "nothing strange"),
    *("nothing amiss", "not a thing wrong", "reliably", "reliable", "impeccable", "impeccably", "mint"),
    *("top notch", "first class", "first rate", "decent", "decently", "just right", "exactly right", "peachy"),
    *("crisply", "healthily", "correct", "correctly", "up to scratch", "up to the mark", "not a problem"),
    *("brilliant",),
)
NOTHING_SAID = (  # a word of these is no denial and no praise
    *("as well as", "as well", "no idea why", "no idea", "not sure", "dont know", "do not know", "no doubt"),
    *("no matter what", "no matter", "not only", "i can see", "cant be certain", "cant be sure", "never mind"),
    *("no wonder", "for no reason", "for no apparent reason", "not that", "a good bit of", "good bit of"),
    *("a good bit", "good deal of", "good deal", "good while", "good old", "good few", "good many", "fair bit"),
    *("fair enough", "bit of a", "bit of", "lot of", "kind of", "sort of", "i am good", "well over", "well under"),
    *("well past", "well above", "well below", "well before", "well after", "for good", "so far so good"),
    *("whether or not", "if at all possible", "no choke needed", "you know", "of course", "at all", "no more"),
    *("had enough", "good morning", "good evening", "good afternoon", "good day", "hello", "thank you", "thanks"),
    *("sorry", "cant think", "cant tell", "can not tell", "cant say", "nothing else", "not yet", "why not"),
    *("or not",),
)
SMALL = frozenset(  # what says nothing alone
    [
        *("everything", "anything", "something"),
        *("a", "an", "and", "as", "at", "be", "been", "being", "but", "by", "do", "does", "did", "done", "for"),
        *("from", "had", "has", "have", "he", "her", "him", "his", "i", "in", "is", "it", "its", "me", "my"),
        *("of", "on", "or", "our", "she", "so", "that", "the", "their", "them", "then", "there", "these", "they"),
        *("this", "those", "to", "us", "was", "we", "were", "what", "which", "who", "will", "with", "would"),
        *("you", "your", "am", "are", "can", "could", "may", "might", "shall", "should", "s", "t", "d", "m"),
        *("re", "ll", "ve", "very", "really", "quite", "pretty", "rather", "just", "too", "also", "now", "still"),
        *("again", "always", "ever", "much", "such", "both", "either", "each", "any", "some", "all", "itself"),
        *("herself", "myself", "than", "about", "bike", "machine", "thing", "bit", "please", "sir", "mate"),
        *("while", "into", "onto", "when", "if", "where", "because"),
    ]
)
LIGHT = frozenset(  # what says little alone
    [
        *("go", "get", "keep", "come", "make", "take", "give", "put", "feel", "seem", "look", "sound", "up"),
        *("down", "off", "out", "over", "after", "before", "once", "only", "back", "until", "through", "under"),
        *("more", "less", "lik", "run", "rev", "one", "two", "three", "thre", "four", "five", "six", "first"),
        *("second", "other", "side", "turn", "time", "want", "try", "use", "tell", "say", "see", "find"),
    ]
)
