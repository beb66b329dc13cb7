"""Whether a text has somebody test soap by mouth: it burns, and it proves nothing.

The words stand in the languages that the label rules speak. A denial passes ("no tongue
test done"); so does what only looks like it ("en langue française", "Lemon Zap"). Where
a sentence can be read either way it counts as a test: asking for other words is cheap.
The lists are common practice, no source.
"""

import re
import unicodedata

# A tongue in the hand of a tester. Languages whose word is also "a language" or a shape
# count only behind the small words of a test. Without accents, in small letters.
_TONGUE = (
    r"(?<!ox )(?<!deer )(?<!mother )(?<!native )(?<!hart's )(?<!hound's )(?<!adder's )"
    r"\btongues?\b",
    r"\bby mouth\b",
    # French
    r"\b(?:a|sur|avec|par|de|au bout de|du bout de) (?:la|ma|sa|ta|votre|notre) "
    r"langue\b(?! (?:fran|angl|allem|offic|etran|matern|locale|du |des |de ))",
    r"\b(?:test|essai)s? (?:de |par )?langue\b",
    # Spanish, Portuguese, Italian
    r"\b(?:con|a|en|sobre|com|sulla|alla|colla|na|pela) ?"
    r"(?:la|mi|su|a|minha|mia|sua)? ?(?:punta de la |ponta da |punta della )?"
    r"l(?:engua|ingua)\b(?! (?:oficial|ufficiale|espan|portug|italian|local|del |do "
    r"|da |matern|madre|ingles))(?<!\ben lengua)(?<!\bem lingua)(?<!\bin lingua)",
    r"\b(?:prueba|teste?|prova) (?:de |di )?l(?:engua|ingua)\b",
    # German
    r"\b(?:mit|an|auf|per|uber) (?:der |die |meiner |seiner |ihrer |meine )?zunge\b",
    r"\bzungen ?-?(?:test|probe|spitze|kontrolle|prufung)\w*|^ *zunge *(?:$|:)",
    # Named before what it said
    r"\b(?:zunge|langue|lengua|lingua|tong|jezyk)\b(?=:? (?:ok|neutr|nicht|rien|nada"
    r"|nient|niets|nic\b|gut|bien|bene|goed|dobrze|test))",
    # Dutch
    r"\b(?:met|op|aan|via|per) (?:de |mijn |zijn |haar )?tong\b",
    r"\btong ?-?(?:test|proef|punt)\w*",
    # Polish, Czech
    r"\bjezykiem\b|\bna jezyku?\b(?! (?:polsk|angiel|niem|obc))|\btest jezyka\b",
    r"\bjazykem\b|\bna jazyk(?:u)?\b",
    # Swedish, Danish, Norwegian, Finnish, Hungarian, Romanian
    r"\b(?:med|pa|via) (?:min |din )?tung(?:an|en|a|e)\b|\btungtest\w*|\btungetest\w*",
    r"\bkielella\b|\bkielitesti\w*|\bnyelvvel\b|\b(?:cu|pe) limba\b",
)
_TASTE = (
    r"(?<!good )(?<!bad )(?<!matter of )\btast(?:e|es|ed|ing|er)s?\b",
    r"\blick(?:s|ed|ing)?\b",
    # French; "goutte" is a drop and no taste
    r"\bgout(?:er|e|ee|es|ees|ez|ons|ent|ant|ait)\b|\b(?:au|du|le|un|par le) gout\b",
    r"\blech(?:er|e|ee|ez|ant)\b|\bdegust\w+",
    # Spanish, Portuguese, Italian
    r"\bsabore\w+|\bassapor\w+|\bassaggi\w*|\blamer\b|\blamid[oa]s?\b|\blamio\b",
    r"\blamb(?:er|ido|ida|i|eu)\b|\blecc(?:are|ato|ata)\b",
    r"\b(?:por (?:el )?|al |pelo |ao )(?:sabor|gusto)\b|\b(?:al|per|dal) gusto\b",
    # German; "Kosten" are costs and "lecken" is what bottles do, too
    r"\b(?:ab|an)?(?:ge)?schmeck(?:en|t|te|e)\b|\babzuschmecken\b|\bverkost\w+",
    r"\bgeschmacks? ?-?(?:test|probe|prufung)\w*|\b(?:ab|an)(?:ge|zu)?leck(?:t|en)\b",
    # Dutch; "proef" is a trial, too
    r"\b(?:voor)?geproefd\b|\bproefden?\b|\bgelikt\b|\blikken\b|\bsmaaktest\w*",
    # Polish, Czech
    r"\b(?:po)?smakow\w+|\b(?:po)?liz(?:ac|an\w*|nac|nij|nal\w*)\b|\bochutn\w+",
    # Swedish, Danish, Norwegian, Finnish, Hungarian, Romanian
    r"\bsmak(?:a|ar|ade|at|test\w*)\b|\bsmag(?:e|te|t)\b|\bmaist\w+|\bmegkostol\w+",
    r"\bgust(?:at|a|are)\b",
)
_ZAP = r"\bzap(?:s|ped|ping|-?test\w*)?\b"
_BY_MOUTH = re.compile("|".join((*_TONGUE, *_TASTE, _ZAP)))
# "No zap" is what such a test answers; "no zap test" says that there was none.
_ANSWER = re.compile(r"\bzap(?:s|ped)?\b(?![ -]?test)")

_NOT = re.compile(
    r"\b(?:no|not|never|nobody|without|cannot|can't|don't|didn't|wasn't|doesn't|isn't"
    r"|none|instead of|rather than|ne|pas|jamais|sans|aucun|aucune|au lieu de|nunca"
    r"|jamas|sin|ningun|ninguna|en vez de|nicht|nie|niemals|kein|keine|keinen|keiner"
    r"|ohne|statt|non|mai|senza|nessun|nessuna|invece di|niet|nooit|geen|zonder"
    r"|in plaats van|nao|sem|nenhum|nenhuma|em vez de|nigdy|bez|zamiast|zadnego"
    r"|inte|aldrig|utan|ikke|uden|uten|ei|ala|nikdy|neni|soha|nem|niciodata|nu|fara)\b"
    r"(?! (?:only|just|merely|seulement|solo|solamente|nur|soltanto|alleen|so|apenas"
    r"|tylko|bara|kun)\b)"
)
_WITHOUT = re.compile(
    r"\b(?:without|sans|sin|ohne|senza|zonder|sem|bez|utan|uden|uten|fara)\b"
)
# What may stand between a denial and what it denies. Any other word and the denial is
# of something else: "no pink after a tongue test".
_SMALL_WORDS = """
a an the any it its this that these such of to by with on at in as be been being is
was were are do did does done have has had will would shall should must may need
ever again anything something soap paste lye sample samples batch pot drop bit test
tests tested testing check checks checked checking try tried touch touched put take
taken use used using skin hand finger or nor under circumstances circumstance your
my our his her their me you we i he she they even
un une le la les l de du des d au aux par avec sur ou et ni teste testee tester testez
essai essayer verifier verifie savon pate peau jamais pas il on nous ete fait faire
c est ca y
el los las lo uno una con por en o probar probado probada probarlo pruebe prueba
pruebas jabon pasta piel se ha hecho hacer debe
der die das den dem eine einen einem einer es man mit an auf per durch oder noch je
wird wurde werden worden ist sein zu probe proben seife leim haut prufen gepruft
testen getestet probieren machen gemacht wir ich
gli di sulla sul si e stato stata fare fatto prova prove provare provato sapone pelle
mai one
het een met op te er wordt werd getest zeep huid proeven proef mogen
os um uma com em na no foi fazer feito testar testado provar provado provou sabao pele
nie sie z lub ani jest byl bylo byc testowac testowano testuj probowac probuj
sprawdzac sprawdzano sprawdzaj mydla mydlo probki skory skorze
med pa att det smak
"""
_BETWEEN = frozenset(_SMALL_WORDS.split())
# After the mention: "tongue test not done".
_AFTERWARDS = re.compile(
    r"^[ -]?(?:test\w*|proba|probe)?[:,]? ?(?:was|is|were|ist|wurde|wird|est|a|ete|fue"
    r"|se|ha|e|foi|werd|is|nie|n'a)?,? ?"
    r"(?:not|never|wasn't|isn't|weren't|nicht|nie|pas|jamais|non|no|niet|nao) ?"
    r"(?:was|been|be|ete|ha|sido|e|stato|foi)? ?"
    r"(?:done|made|used|needed|allowed|performed|permitted|carried out|gemacht|benutzt"
    r"|durchgefuhrt|erlaubt|fait|utilise|effectue|permis|hecho|usado|realizada"
    r"|realizado|permitido|fatto|usata|eseguito|gedaan|gebruikt|uitgevoerd|feito|usada"
    r"|robiono|uzywano|wykonano)\b"
)
# To leave such a test out would be the fault: "never skip the tongue test".
_SKIP = re.compile(
    r"\b(?:skip\w*|forget\w*|forgot\w*|omit\w*|miss(?:ed)?|oubli\w+|omett\w+|saut\w+"
    r"|olvid\w+|omit\w+|vergess\w+|vergiss|auslass\w+|uberspring\w+|dimentic\w+"
    r"|tralasc\w+|verget\w+|overslaan|sla over|esque\w+|pul(?:ar|e)|zapom\w+|pomij\w+"
    r"|pomin\w+|glom\w+|glem\w+)\b"
)
_FORBIDDEN = re.compile(
    r"\b(?:forbidden|prohibited|banned|interdit\w*|defendu\w*|prohib\w+|verboten"
    r"|untersagt|vietat\w+|proibit\w+|verboden|proibid\w+|zabron\w+|wzbron\w+"
    r"|zakazan\w+|forbjud\w+|forbud\w*)\b"
)
_CLAUSE = re.compile(
    r"[.;!?,()\n\u2013\u2014]+|\s-\s|\b(?:but|and|then|aber|sondern|und|dann|mais|puis"
    r"|pero|sino|luego|ma|poi|maar|mas|depois|ale|lecz|potem|men)\b"
)
_SPLASHED = (
    r"splash|splatter|spatter|spill|eclabouss|salpic|spritz|schizz|gespat|spatte|respin"
    r"|prysn|chlapn|stank|skvatt|sprojt"
)
_SPLASH = re.compile(rf"\b(?:{_SPLASHED})\w*")
_ACCIDENT = re.compile(
    rf"\b(?:{_SPLASHED}|accident|by mistake|deviat|against the (?:rule|instruction)"
    r"|par erreur|ecart|por error|desviaci|versehen|unfall|abweich|per errore|incident"
    r"|deviazion|per ongeluk|afwijk|acidente|por engano|desvio|wypad|omylk|odstepstw"
    r"|olyck|uheld|av misstag)\w*"
)
# "Lemon Zap": a capitalised word beside it makes it a name; and a joint of boards.
_NAMED = re.compile(
    r"\b(?!No\b|Not\b|Zero\b|The\b|Any\b|Did\b|Done\b|Little\b|Slight\b|Still\b)"
    r"[A-Z][a-z]{2,} Zap\b(?! [Tt]est)|\bZap (?!Test|Free|Passed|None)[A-Z][a-z]{2,}\b"
    r"|\b[Tt]ongue[- ]and[- ]groove\b"
)


def goes_by_tongue(text: str) -> bool:
    """Whether a text tells of a test by mouth, or asks for one, undenied."""
    return any(_speaks(clause) for clause in _CLAUSE.split(_plain(text)))


def instructs_by_tongue(text: str) -> bool:
    """The same of what others will do: what to do after a splash is no test."""
    return any(
        goes_by_tongue(sentence) and not _SPLASH.search(_plain(sentence))
        for sentence in re.split(r"[.!?\n]+", text)
    )


def happened_by_tongue(text: str) -> bool:
    """The same of what was done: an accident or a deviation is told as it happened."""
    return goes_by_tongue(text) and not _ACCIDENT.search(_plain(text))


def _plain(text: str) -> str:
    """Small letters without accents, names taken out."""
    bare = unicodedata.normalize("NFKD", _NAMED.sub("name", text))
    bare = "".join(sign for sign in bare if not unicodedata.combining(sign))
    bare = bare.replace("\u2019", "'").replace("\u0142", "l").replace("\u00df", "ss")
    return re.sub(r"[ \t\u00a0]+", " ", bare.casefold())


def _speaks(clause: str) -> bool:
    return any(
        not _denied(clause, found.start(), found.end())
        for found in _BY_MOUTH.finditer(clause)
    )


def _denied(clause: str, start: int, end: int) -> bool:
    before = clause[:start]
    if _SKIP.search(clause):
        return False
    if _AFTERWARDS.match(clause[end:]) or _is_forbidden(clause):
        return True
    if _ANSWER.match(clause, start):
        return before.endswith(("never ", "do not ", "don't "))
    denials = list(_NOT.finditer(before))
    if not denials or (len(denials) > 1 and _WITHOUT.search(before)):
        return False
    gap = before[denials[-1].end() :]
    between = re.findall(r"[\w']+", gap)
    return ":" not in gap and all(
        word.rpartition("'")[2] in _BETWEEN for word in between
    )


def _is_forbidden(clause: str) -> bool:
    return _FORBIDDEN.search(clause) is not None and not _NOT.search(clause)
