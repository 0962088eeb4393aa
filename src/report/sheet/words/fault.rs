//! What «fault» says in its tables, in Spanish and French, as spoken at a wash: causes, what is behind them, checks, tools, cautions, signs.
//!
//! Keyed by the English text of `src/fault`, which a test holds complete: a text that is added there needs its row here.

use crate::report::sheet::Language;

/// English, Spanish, French.
const ROWS: &[[&str; 3]] = &[
    [
        "Nothing is seen and nothing was read: there is no fault to name. Say what is seen with --seen; --list shows what can be said.",
        "No se ve nada y nada se leyó: no hay falla que nombrar. Diga lo que se ve con --seen; --list muestra qué se puede decir.",
        "Rien n'est vu et rien n'a été lu : pas de défaut à nommer. Dire ce qui se voit avec --seen ; --list montre ce qui peut se dire.",
    ],
    [
        "Nothing that is told speaks for a fault.",
        "Nada de lo dicho indica una falla.",
        "Rien de ce qui est dit n'indique un défaut.",
    ],
    [
        "Nothing need be broken: the set-up itself does this. «brusharm recommend» finds the smallest change that helps.",
        "Nada tiene que estar roto: lo hace el propio ajuste. «brusharm recommend» encuentra el menor cambio que ayuda.",
        "Rien n'est forcément cassé : c'est le réglage lui-même. «brusharm recommend» trouve le plus petit changement qui aide.",
    ],
    [
        "This machine has nothing that the table of causes knows.",
        "Esta máquina no tiene nada que la tabla de causas conozca.",
        "Cette machine n'a rien que la table des causes connaisse.",
    ],
    [
        "Most likely: {0} ({1} of belief).",
        "Lo más probable: {0} ({1} de creencia).",
        "Le plus probable : {0} ({1} de croyance).",
    ],
    [
        "Nothing in the table explains all of this, nor do two causes at once. Nearest: {0}. Look whether all of it was seen right, and for something that is not in the table.",
        "Nada en la tabla explica todo esto, ni dos causas a la vez. Lo más cercano: {0}. Revise si todo se vio bien, y busque algo que no esté en la tabla.",
        "Rien dans la table n'explique tout cela, ni deux causes à la fois. Au plus près : {0}. Vérifier si tout a été bien vu, et chercher hors de la table.",
    ],
    [
        "No single cause explains all of this; two at once would. Look first whether all of it was seen right.",
        "Ninguna causa sola explica todo esto; dos a la vez sí. Revise primero si todo se vio bien.",
        "Aucune cause seule n'explique tout cela ; deux à la fois, oui. Vérifier d'abord si tout a été bien vu.",
    ],
    [
        "nothing is broken, the set-up itself does it",
        "nada está roto, lo hace el propio ajuste",
        "rien n'est cassé, c'est le réglage lui-même",
    ],
    [
        "too little air on the piston, or none",
        "poco aire en el pistón, o ninguno",
        "trop peu d'air sur le piston, ou pas du tout",
    ],
    ["too much air on the piston", "demasiado aire en el pistón", "trop d'air sur le piston"],
    [
        "trapped air: a regulator that does not let air back out",
        "aire atrapado: un regulador que no deja salir el aire",
        "air piégé : un régulateur qui ne laisse pas ressortir l'air",
    ],
    [
        "air on the wrong end of the cylinder",
        "aire en el extremo equivocado del cilindro",
        "air du mauvais côté du vérin",
    ],
    [
        "air moves too slowly: hose pinched or a silencer blocked",
        "el aire se mueve muy lento: manguera pellizcada o silenciador tapado",
        "l'air passe trop lentement : flexible pincé ou silencieux bouché",
    ],
    ["valve slow to switch", "válvula lenta al conmutar", "vanne lente à commuter"],
    ["the arm runs tight", "el brazo se mueve apretado", "le bras tourne dur"],
    ["the counterweight pulls too little", "el contrapeso tira poco", "le contrepoids tire trop peu"],
    ["the counterweight pulls too much", "el contrapeso tira demasiado", "le contrepoids tire trop"],
    ["the damper does not hold", "el amortiguador no retiene", "l'amortisseur ne retient pas"],
    ["the damper holds too much", "el amortiguador retiene demasiado", "l'amortisseur retient trop"],
    [
        "the damper holds the wrong way",
        "el amortiguador retiene en el sentido equivocado",
        "l'amortisseur retient dans le mauvais sens",
    ],
    [
        "the lower bearing has moved toward the wall: the arm falls inboard",
        "el cojinete inferior se movió hacia la pared: el brazo cae hacia adentro",
        "le palier bas s'est déplacé vers le mur : le bras tombe vers la voie",
    ],
    [
        "the lower bearing has moved toward the lane: the arm falls outboard",
        "el cojinete inferior se movió hacia el carril: el brazo cae hacia afuera",
        "le palier bas s'est déplacé vers la voie : le bras tombe vers le mur",
    ],
    ["the arm leans downstream", "el brazo se inclina aguas abajo", "le bras penche vers l'aval"],
    ["the arm leans upstream", "el brazo se inclina aguas arriba", "le bras penche vers l'amont"],
    ["the arm stops too far out", "el brazo se detiene muy afuera", "le bras s'arrête trop à l'extérieur"],
    ["the arm stops too far in", "el brazo se detiene muy adentro", "le bras s'arrête trop à l'intérieur"],
    ["the bumper gives way too far", "el tope cede demasiado", "le butoir cède trop"],
    ["the bumper throws the arm back", "el tope devuelve el brazo", "le butoir renvoie le bras"],
    [
        "something keeps the arm from swinging out",
        "algo impide que el brazo gire hacia afuera",
        "quelque chose empêche le bras de s'ouvrir",
    ],
    [
        "the media are worn short",
        "las tiras están gastadas y cortas",
        "les lanières sont usées, trop courtes",
    ],
    ["strips are missing", "faltan tiras", "il manque des lanières"],
    [
        "the media are loaded with water, dirt or ice",
        "las tiras están cargadas de agua, suciedad o hielo",
        "les lanières sont chargées d'eau, de saleté ou de glace",
    ],
    ["the brush turns the wrong way", "el cepillo gira al revés", "la brosse tourne à l'envers"],
    ["the brush turns too slowly", "el cepillo gira muy lento", "la brosse tourne trop lentement"],
    ["the brush turns too fast", "el cepillo gira muy rápido", "la brosse tourne trop vite"],
    [
        "too little foam or water: the media grab",
        "poca espuma o agua: las tiras se agarran",
        "trop peu de mousse ou d'eau : les lanières accrochent",
    ],
    [
        "the media slip: too much foam or wax",
        "las tiras resbalan: demasiada espuma o cera",
        "les lanières glissent : trop de mousse ou de cire",
    ],
    [
        "vehicles sit off the track toward this side",
        "los vehículos van fuera de la guía hacia este lado",
        "les véhicules sont décalés vers ce côté",
    ],
    [
        "vehicles ride turned, nose toward this side",
        "los vehículos van girados, el frente hacia este lado",
        "les véhicules roulent de travers, l'avant vers ce côté",
    ],
    [
        "the line runs faster than it is set up for",
        "la línea va más rápida de lo ajustado",
        "la ligne va plus vite que le réglage",
    ],
    [
        "the line runs slower than it is set up for",
        "la línea va más lenta de lo ajustado",
        "la ligne va moins vite que le réglage",
    ],
    [
        "vehicles come closer together than planned",
        "los vehículos vienen más juntos de lo previsto",
        "les véhicules se suivent de plus près que prévu",
    ],
    [
        "wider vehicles than it is set up for",
        "vehículos más anchos de lo ajustado",
        "véhicules plus larges que le réglage",
    ],
    [
        "the brushes stand too close together",
        "los cepillos están demasiado juntos",
        "les brosses sont trop proches l'une de l'autre",
    ],
    [
        "regulator set low, or its gauge reads high",
        "regulador bajo, o su manómetro marca de más",
        "régulateur trop bas, ou son manomètre indique trop",
    ],
    ["a second gauge reads low", "un segundo manómetro marca poco", "un second manomètre indique peu"],
    [
        "set the regulator by the second gauge",
        "ajustar el regulador con el segundo manómetro",
        "régler le régulateur au second manomètre",
    ],
    [
        "valve stuck or shut, or supply shut",
        "válvula trabada o cerrada, o suministro cerrado",
        "vanne bloquée ou fermée, ou alimentation fermée",
    ],
    [
        "no pressure behind the valve at any time",
        "nunca hay presión detrás de la válvula",
        "jamais de pression après la vanne",
    ],
    [
        "free or renew the valve; open the supply",
        "liberar o cambiar la válvula; abrir el suministro",
        "débloquer ou changer la vanne ; ouvrir l'alimentation",
    ],
    [
        "a leak in hose or fitting, or past the piston seal",
        "fuga en manguera o racor, o por el sello del pistón",
        "fuite au flexible ou au raccord, ou par le joint du piston",
    ],
    [
        "bubbles, or the gauge falls with the valve shut",
        "burbujas, o el manómetro cae con la válvula cerrada",
        "des bulles, ou le manomètre baisse vanne fermée",
    ],
    [
        "renew the hose, the fitting or the seal",
        "cambiar la manguera, el racor o el sello",
        "changer le flexible, le raccord ou le joint",
    ],
    [
        "regulator set high or creeping, or its gauge reads low",
        "regulador alto o que sube solo, o su manómetro marca de menos",
        "régulateur trop haut ou qui dérive, ou son manomètre indique trop peu",
    ],
    ["a second gauge reads high", "un segundo manómetro marca mucho", "un second manomètre indique beaucoup"],
    [
        "set the regulator by the second gauge; renew it if it creeps",
        "ajustar el regulador con el segundo manómetro; cambiarlo si sube solo",
        "régler le régulateur au second manomètre ; le changer s'il dérive",
    ],
    ["a regulator that does not relieve", "un regulador que no alivia", "un régulateur sans décharge"],
    [
        "the gauge climbs as the arm is pushed and stays up",
        "el manómetro sube al empujar el brazo y se queda arriba",
        "le manomètre monte quand on pousse le bras et reste haut",
    ],
    [
        "renew the regulator with a relieving one",
        "cambiar el regulador por uno con alivio",
        "changer le régulateur pour un modèle à décharge",
    ],
    [
        "valve stuck, wired or hosed the wrong way",
        "válvula trabada, o cables o mangueras cruzados",
        "vanne bloquée, ou fils ou flexibles croisés",
    ],
    [
        "pressure at the rod end when it should be at the cap end",
        "presión en el lado del vástago cuando debe estar en el del fondo",
        "pression côté tige quand elle devrait être côté fond",
    ],
    [
        "put hoses or wires as in the maker's drawing; renew the valve",
        "poner mangueras o cables según el plano del fabricante; cambiar la válvula",
        "remettre flexibles ou fils selon le plan du constructeur ; changer la vanne",
    ],
    [
        "hose pinched, fitting or silencer blocked",
        "manguera pellizcada, racor o silenciador tapado",
        "flexible pincé, raccord ou silencieux bouché",
    ],
    [
        "the gauge swings far up and down as the arm moves",
        "el manómetro oscila mucho cuando el brazo se mueve",
        "le manomètre oscille fort quand le bras bouge",
    ],
    [
        "clear or renew hose and silencer",
        "limpiar o cambiar manguera y silenciador",
        "dégager ou changer flexible et silencieux",
    ],
    [
        "valve sticky, coil weak or its sensor moved",
        "válvula pegajosa, bobina débil o sensor movido",
        "vanne collante, bobine faible ou capteur déplacé",
    ],
    [
        "the gauge follows the car late",
        "el manómetro sigue tarde al vehículo",
        "le manomètre suit le véhicule en retard",
    ],
    [
        "clean or renew the valve; set the sensor",
        "limpiar o cambiar la válvula; ajustar el sensor",
        "nettoyer ou changer la vanne ; régler le capteur",
    ],
    [
        "pivot dry or its bearing failing",
        "pivote seco o su cojinete fallando",
        "pivot sec ou roulement en fin de vie",
    ],
    [
        "the scale reads far more out than in",
        "el dinamómetro marca mucho más hacia afuera que hacia adentro",
        "le peson indique bien plus vers l'extérieur que vers l'intérieur",
    ],
    [
        "grease or renew the bearing as the maker says",
        "engrasar o cambiar el cojinete según el fabricante",
        "graisser ou changer le roulement selon le constructeur",
    ],
    [
        "cylinder seal tight, rod bent, or a cable that rubs",
        "sello del cilindro apretado, vástago doblado o cable que roza",
        "joint de vérin serré, tige tordue ou câble qui frotte",
    ],
    [
        "it swings free once the cylinder is off",
        "se mueve libre sin el cilindro",
        "il tourne librement une fois le vérin décroché",
    ],
    [
        "renew the seal or the rod; free the cable",
        "cambiar el sello o el vástago; liberar el cable",
        "changer le joint ou la tige ; libérer le câble",
    ],
    ["weight missing or too light", "falta peso o es muy liviano", "poids absent ou trop léger"],
    ["it weighs too little", "pesa de menos", "il pèse trop peu"],
    ["hang the weight that belongs there", "colgar el peso que corresponde", "remettre le poids prévu"],
    [
        "cable slack, off its sheave or frayed, or the weight rests on something",
        "cable flojo, fuera de la polea o deshilachado, o el peso se apoya en algo",
        "câble mou, hors de sa poulie ou effiloché, ou le poids repose sur quelque chose",
    ],
    [
        "the cable is not tight or not in its sheave",
        "el cable no está tenso o no está en su polea",
        "le câble n'est pas tendu ou pas dans sa poulie",
    ],
    [
        "put the cable right, renew it if frayed; clear what the weight rests on",
        "colocar el cable, cambiarlo si está deshilachado; quitar lo que sostiene el peso",
        "remettre le câble, le changer s'il s'effiloche ; dégager ce qui porte le poids",
    ],
    ["weight added or exchanged", "peso añadido o cambiado", "poids ajouté ou remplacé"],
    ["it weighs too much", "pesa de más", "il pèse trop"],
    [
        "damper empty, or its needle open",
        "amortiguador vacío, o su aguja abierta",
        "amortisseur vide, ou pointeau ouvert",
    ],
    ["it gives way without holding", "cede sin retener", "il cède sans retenir"],
    [
        "set the needle; renew the damper if it stays soft",
        "ajustar la aguja; cambiar el amortiguador si sigue blando",
        "régler le pointeau ; changer l'amortisseur s'il reste mou",
    ],
    [
        "needle shut, oil cold or damper jammed",
        "aguja cerrada, aceite frío o amortiguador trabado",
        "pointeau fermé, huile froide ou amortisseur grippé",
    ],
    ["it holds hard both ways", "retiene fuerte en ambos sentidos", "il retient fort dans les deux sens"],
    [
        "set the needle; renew the damper if it stays hard",
        "ajustar la aguja; cambiar el amortiguador si sigue duro",
        "régler le pointeau ; changer l'amortisseur s'il reste dur",
    ],
    [
        "needles exchanged or damper turned round",
        "agujas cambiadas o amortiguador invertido",
        "pointeaux inversés ou amortisseur retourné",
    ],
    [
        "it holds the way it should not",
        "retiene en el sentido que no debe",
        "il retient dans le sens où il ne devrait pas",
    ],
    [
        "exchange the needles or turn the damper",
        "intercambiar las agujas o girar el amortiguador",
        "échanger les pointeaux ou retourner l'amortisseur",
    ],
    [
        "screws let go or shims exchanged",
        "tornillos flojos o calces cambiados",
        "vis desserrées ou cales échangées",
    ],
    [
        "off plumb, top toward the lane",
        "fuera de plomo, arriba hacia el carril",
        "hors d'aplomb, haut vers la voie",
    ],
    [
        "off plumb, top toward the wall",
        "fuera de plomo, arriba hacia la pared",
        "hors d'aplomb, haut vers le mur",
    ],
    [
        "set both screws as on the sheet and lock them",
        "poner ambos tornillos según la hoja y asegurarlos",
        "mettre les deux vis selon la fiche et les bloquer",
    ],
    [
        "post or bearing moved along the lane",
        "poste o cojinete movido a lo largo del carril",
        "poteau ou palier déplacé le long de la voie",
    ],
    ["off plumb, top downstream", "fuera de plomo, arriba aguas abajo", "hors d'aplomb, haut vers l'aval"],
    ["off plumb, top upstream", "fuera de plomo, arriba aguas arriba", "hors d'aplomb, haut vers l'amont"],
    [
        "set the bearings plumb along the lane",
        "aplomar los cojinetes a lo largo del carril",
        "remettre les paliers d'aplomb le long de la voie",
    ],
    ["media worn", "tiras gastadas", "lanières usées"],
    [
        "smaller across than on the sheet",
        "diámetro menor que en la hoja",
        "diamètre plus petit que sur la fiche",
    ],
    ["renew the media", "cambiar las tiras", "changer les lanières"],
    ["strips torn off", "tiras arrancadas", "lanières arrachées"],
    [
        "strips or whole panels are missing",
        "faltan tiras o paneles enteros",
        "il manque des lanières ou des panneaux entiers",
    ],
    ["renew the panels", "cambiar los paneles", "changer les panneaux"],
    [
        "media waterlogged, caked or iced",
        "tiras empapadas, apelmazadas o heladas",
        "lanières gorgées d'eau, encroûtées ou gelées",
    ],
    [
        "heavy, stiff or iced to the touch",
        "pesadas, rígidas o heladas al tacto",
        "lourdes, raides ou gelées au toucher",
    ],
    [
        "thaw, rinse or dry them; renew what stays heavy",
        "descongelar, enjuagar o secar; cambiar lo que siga pesado",
        "dégeler, rincer ou sécher ; changer ce qui reste lourd",
    ],
    ["two phases exchanged", "dos fases intercambiadas", "deux phases échangées"],
    ["it turns against the mark", "gira contra la marca", "elle tourne contre le repère"],
    [
        "have an electrician exchange two phases",
        "que un electricista intercambie dos fases",
        "faire échanger deux phases par un électricien",
    ],
    [
        "belt slips, hydraulic flow low, or drive set low",
        "la correa patina, poco caudal hidráulico o variador bajo",
        "la courroie patine, débit hydraulique faible ou variateur trop bas",
    ],
    ["fewer turns than on the sheet", "menos vueltas que en la hoja", "moins de tours que sur la fiche"],
    [
        "tighten or renew the belt; set flow or drive",
        "tensar o cambiar la correa; ajustar caudal o variador",
        "tendre ou changer la courroie ; régler débit ou variateur",
    ],
    [
        "drive set high, or the wrong sheave or motor",
        "variador alto, o polea o motor equivocados",
        "variateur trop haut, ou mauvaise poulie ou moteur",
    ],
    ["more turns than on the sheet", "más vueltas que en la hoja", "plus de tours que sur la fiche"],
    [
        "set the drive; fit the right sheave or motor",
        "ajustar el variador; montar la polea o el motor correctos",
        "régler le variateur ; monter la bonne poulie ou le bon moteur",
    ],
    [
        "foam thin or none, a nozzle blocked, half-wet vehicles",
        "poca espuma o ninguna, boquilla tapada, vehículos a medio mojar",
        "mousse maigre ou absente, buse bouchée, véhicules à demi mouillés",
    ],
    [
        "little or no foam on the vehicle",
        "poca o ninguna espuma sobre el vehículo",
        "peu ou pas de mousse sur le véhicule",
    ],
    [
        "see «brusharm foam»; clear the nozzles",
        "ver «brusharm foam»; limpiar las boquillas",
        "voir «brusharm foam» ; déboucher les buses",
    ],
    [
        "dosing too rich, or wax where there should be foam",
        "dosificación excesiva, o cera donde debe haber espuma",
        "dosage trop riche, ou cire à la place de la mousse",
    ],
    ["thick or waxy on the vehicle", "espeso o ceroso sobre el vehículo", "épais ou cireux sur le véhicule"],
    [
        "set the dosing; rinse the media",
        "ajustar la dosificación; enjuagar las tiras",
        "régler le dosage ; rincer les lanières",
    ],
    [
        "guide bent, or the correlator sends them in off the middle",
        "guía doblada, o el correlador los mete descentrados",
        "guide tordu, ou le corrélateur les envoie décentrés",
    ],
    ["wheels run off the middle", "las ruedas van fuera del centro", "les roues roulent hors du milieu"],
    ["straighten the guide", "enderezar la guía", "redresser le guide"],
    ["guide or roller off line", "guía o rodillo desalineado", "guide ou rouleau désaligné"],
    ["vehicles ride at an angle", "los vehículos van en ángulo", "les véhicules roulent en biais"],
    [
        "speed set up for a busy day",
        "velocidad puesta para un día de mucho trabajo",
        "vitesse réglée pour un jour chargé",
    ],
    [
        "faster over a taped length than on the sheet",
        "más rápido sobre una longitud medida que en la hoja",
        "plus rapide sur une longueur mesurée que sur la fiche",
    ],
    [
        "set the speed back, or the brushes up for it",
        "bajar la velocidad, o ajustar los cepillos para ella",
        "remettre la vitesse, ou régler les brosses pour elle",
    ],
    [
        "speed set down, or the drive slips",
        "velocidad bajada, o el accionamiento patina",
        "vitesse baissée, ou l'entraînement patine",
    ],
    [
        "slower over a taped length than on the sheet",
        "más lento sobre una longitud medida que en la hoja",
        "plus lent sur une longueur mesurée que sur la fiche",
    ],
    ["set the speed", "ajustar la velocidad", "régler la vitesse"],
    ["loaders send them close", "los cargadores los mandan juntos", "les chargeurs les envoient trop serrés"],
    [
        "less room between vehicles than on the sheet",
        "menos espacio entre vehículos que en la hoja",
        "moins d'espace entre véhicules que sur la fiche",
    ],
    [
        "keep the room between vehicles",
        "mantener el espacio entre vehículos",
        "tenir l'espace entre véhicules",
    ],
    ["a fleet other than planned", "una flota distinta de la prevista", "un parc autre que prévu"],
    [
        "the vehicles complained of are wider than planned",
        "los vehículos con queja son más anchos de lo previsto",
        "les véhicules en cause sont plus larges que prévu",
    ],
    [
        "set up for the widest that comes, or slow the line for it",
        "ajustar para el más ancho que viene, o frenar la línea para él",
        "régler pour le plus large qui vient, ou ralentir la ligne pour lui",
    ],
    [
        "a unit moved along the lane",
        "una unidad movida a lo largo del carril",
        "une unité déplacée le long de la voie",
    ],
    [
        "closer along the lane than on the sheet",
        "más cerca a lo largo del carril que en la hoja",
        "plus proche le long de la voie que sur la fiche",
    ],
    ["move the unit back", "devolver la unidad a su sitio", "remettre l'unité en place"],
    [
        "pin in a hole too far out, bumper shimmed, or dirt behind it",
        "perno en un agujero muy afuera, tope calzado o suciedad detrás",
        "broche dans un trou trop à l'extérieur, butoir calé ou saleté derrière",
    ],
    [
        "pin or bumper sits farther out than on the sheet",
        "perno o tope más afuera que en la hoja",
        "broche ou butoir plus à l'extérieur que sur la fiche",
    ],
    [
        "put the pin in its hole; clear or shim the bumper as on the sheet",
        "poner el perno en su agujero; limpiar o calzar el tope según la hoja",
        "mettre la broche dans son trou ; dégager ou caler le butoir selon la fiche",
    ],
    ["arm or bracket bent", "brazo o soporte doblado", "bras ou support tordu"],
    [
        "left and right measure differently",
        "izquierda y derecha miden distinto",
        "gauche et droite ne mesurent pas pareil",
    ],
    [
        "straighten or renew the arm as the maker says",
        "enderezar o cambiar el brazo según el fabricante",
        "redresser ou changer le bras selon le constructeur",
    ],
    [
        "pin missing, sheared or in a hole too far in",
        "perno ausente, cortado o en un agujero muy adentro",
        "broche absente, cisaillée ou dans un trou trop à l'intérieur",
    ],
    [
        "pin missing, or in a hole farther in than on the sheet",
        "perno ausente, o en un agujero más adentro que en la hoja",
        "broche absente, ou dans un trou plus à l'intérieur que sur la fiche",
    ],
    [
        "put a sound pin in its hole",
        "poner un perno sano en su agujero",
        "mettre une broche saine dans son trou",
    ],
    ["bumper torn, perished or lost", "tope roto, degradado o perdido", "butoir déchiré, vieilli ou perdu"],
    ["it is torn, soft or not there", "está roto, blando o no está", "il est déchiré, mou ou absent"],
    ["renew the bumper", "cambiar el tope", "changer le butoir"],
    [
        "bumper aged hard, or of the wrong rubber",
        "tope endurecido, o de goma equivocada",
        "butoir durci, ou de mauvais caoutchouc",
    ],
    ["it is hard and springs back", "está duro y rebota", "il est dur et renvoie"],
    [
        "renew the bumper with the right one",
        "cambiar el tope por el correcto",
        "changer le butoir pour le bon",
    ],
    [
        "outer stop moved in, or a hose, cable or cylinder at the end of its way",
        "tope exterior metido, o manguera, cable o cilindro al final de su recorrido",
        "butée extérieure rentrée, ou flexible, câble ou vérin en bout de course",
    ],
    [
        "the arm stops before its outer stop should meet",
        "el brazo se detiene antes de su tope exterior",
        "le bras s'arrête avant sa butée extérieure",
    ],
    [
        "clear or set what it meets",
        "despejar o ajustar lo que encuentra",
        "dégager ou régler ce qu'il rencontre",
    ],
    [
        "read both regulators beside a second gauge, valve held open",
        "leer ambos reguladores junto a un segundo manómetro, válvula abierta",
        "lire les deux régulateurs à côté d'un second manomètre, vanne ouverte",
    ],
    [
        "push the arm out and let it back, watch whether the gauge returns",
        "empujar el brazo hacia afuera y dejarlo volver, mirar si el manómetro regresa",
        "pousser le bras et le laisser revenir, regarder si le manomètre revient",
    ],
    [
        "watch the gauges of both ends of the cylinder against a passing vehicle",
        "mirar los manómetros de ambos extremos del cilindro mientras pasa un vehículo",
        "regarder les manomètres des deux côtés du vérin au passage d'un véhicule",
    ],
    [
        "soap water on hose and fittings; then shut the valve and watch the gauge fall",
        "agua jabonosa en manguera y racores; luego cerrar la válvula y mirar si cae el manómetro",
        "eau savonneuse sur flexible et raccords ; puis fermer la vanne et regarder baisser le manomètre",
    ],
    [
        "pull the arm out and let it back slowly, air on, spin off",
        "tirar del brazo hacia afuera y dejarlo volver despacio, con aire, sin giro",
        "tirer le bras et le laisser revenir lentement, air mis, rotation coupée",
    ],
    [
        "swing the arm by hand over its whole way, air off, then with the cylinder unpinned",
        "mover el brazo a mano por todo su recorrido, sin aire, luego con el cilindro suelto",
        "faire tourner le bras à la main sur toute sa course, air coupé, puis vérin décroché",
    ],
    [
        "look along the cable, its sheave and the whole way of the weight",
        "mirar el cable, su polea y todo el recorrido del peso",
        "regarder le câble, sa poulie et toute la course du poids",
    ],
    ["weigh the counterweight", "pesar el contrapeso", "peser le contrepoids"],
    [
        "push the arm out and in by hand and let go, feel which way it is held",
        "empujar el brazo a mano en ambos sentidos y soltar, sentir en cuál se retiene",
        "pousser le bras dans les deux sens à la main et lâcher, sentir lequel est retenu",
    ],
    [
        "level at the pivot across and along the lane, tape at both screws",
        "nivel en el pivote a través y a lo largo del carril, cinta en ambos tornillos",
        "niveau au pivot en travers et le long de la voie, mètre aux deux vis",
    ],
    [
        "look at the pin and tape the brush from the centreline",
        "mirar el perno y medir el cepillo desde el eje del carril",
        "regarder la broche et mesurer la brosse depuis l'axe de la voie",
    ],
    ["look at the bumper and press it", "mirar el tope y apretarlo", "regarder le butoir et le presser"],
    [
        "tape across the media of the still brush, and hold it against the sheet",
        "medir el diámetro del cepillo parado y compararlo con la hoja",
        "mesurer le diamètre de la brosse arrêtée et comparer à la fiche",
    ],
    [
        "look over the media and lift a few strips",
        "revisar las tiras y levantar algunas",
        "examiner les lanières et en soulever quelques-unes",
    ],
    [
        "watch which way both brushes turn",
        "mirar hacia dónde giran ambos cepillos",
        "regarder dans quel sens tournent les deux brosses",
    ],
    [
        "count the turns of a marked strip over a minute",
        "contar las vueltas de una tira marcada en un minuto",
        "compter les tours d'une lanière marquée sur une minute",
    ],
    [
        "look at the foam on the vehicle before the brushes",
        "mirar la espuma en el vehículo antes de los cepillos",
        "regarder la mousse sur le véhicule avant les brosses",
    ],
    [
        "time a vehicle over a taped length, and tape the room between two",
        "cronometrar un vehículo sobre una longitud medida, y medir el espacio entre dos",
        "chronométrer un véhicule sur une longueur mesurée, et mesurer l'espace entre deux",
    ],
    [
        "watch where the wheels run, and whether vehicles ride turned",
        "mirar por dónde van las ruedas, y si los vehículos van girados",
        "regarder où passent les roues, et si les véhicules roulent de travers",
    ],
    [
        "note the vehicles that are complained of",
        "anotar los vehículos con queja",
        "noter les véhicules en cause",
    ],
    [
        "tape the pivots along the lane",
        "medir los pivotes a lo largo del carril",
        "mesurer les pivots le long de la voie",
    ],
    [
        "tape bracket, arm and spindle on both sides and compare",
        "medir soporte, brazo y eje en ambos lados y comparar",
        "mesurer support, bras et axe des deux côtés et comparer",
    ],
    ["second gauge", "segundo manómetro", "second manomètre"],
    ["gauge", "manómetro", "manomètre"],
    ["gauges", "manómetros", "manomètres"],
    ["soap water, gauge", "agua jabonosa, manómetro", "eau savonneuse, manomètre"],
    ["spring scale", "dinamómetro", "peson"],
    ["hand", "mano", "main"],
    ["eye", "vista", "œil"],
    ["hanging scale", "balanza colgante", "peson à crochet"],
    ["level, tape", "nivel, cinta", "niveau, mètre"],
    ["tape", "cinta", "mètre"],
    ["eye, hand", "vista, mano", "œil, main"],
    ["eye, tape", "vista, cinta", "œil, mètre"],
    ["stopwatch", "cronómetro", "chronomètre"],
    ["stopwatch, tape", "cronómetro, cinta", "chronomètre, mètre"],
    ["pencil", "lápiz", "crayon"],
    [
        "It runs: watch from outside the guard only, nobody in reach of arm, brush or conveyor.",
        "Está en marcha: mirar solo desde fuera del resguardo, nadie al alcance del brazo, el cepillo o el transportador.",
        "En marche : regarder seulement hors du protecteur, personne à portée du bras, de la brosse ou du convoyeur.",
    ],
    [
        "Lock out and tag out, bleed the air and prove zero, block the arm before a hand goes near it; unblock only to swing it by hand with everybody clear of its whole path.",
        "Bloquear y etiquetar, purgar el aire y comprobar cero, trabar el brazo antes de acercar una mano; soltarlo solo para moverlo a mano con todos fuera de su recorrido.",
        "Consigner, purger l'air et vérifier zéro, caler le bras avant d'approcher une main ; ne le décaler que pour le tourner à la main, tout le monde hors de sa course.",
    ],
    [
        "Nothing to touch: stay clear of the lane.",
        "Nada que tocar: mantenerse fuera del carril.",
        "Rien à toucher : rester hors de la voie.",
    ],
    ["the tail is missed", "la cola queda sin tocar", "l'arrière est manqué"],
    ["the tail is missed whole", "la cola queda entera sin tocar", "l'arrière est manqué en entier"],
    [
        "the brush is late on the tail",
        "el cepillo llega tarde a la cola",
        "la brosse est en retard à l'arrière",
    ],
    [
        "the brush is on the tail sooner",
        "el cepillo llega antes a la cola",
        "la brosse est plus tôt à l'arrière",
    ],
    ["it strikes the tail hard", "golpea fuerte la cola", "elle frappe fort l'arrière"],
    ["the nose is missed", "el frente queda sin tocar", "l'avant est manqué"],
    ["it strikes the nose hard", "golpea fuerte el frente", "elle frappe fort l'avant"],
    ["it gives way soft at the nose", "cede blando en el frente", "elle cède mollement à l'avant"],
    [
        "a strip left behind the front corner",
        "una franja sin lavar detrás de la esquina delantera",
        "une bande oubliée derrière le coin avant",
    ],
    [
        "strips left along the side",
        "franjas sin lavar a lo largo del costado",
        "des bandes oubliées le long du côté",
    ],
    ["too hard on the side", "demasiado fuerte en el costado", "trop fort sur le côté"],
    ["too soft on the side", "demasiado suave en el costado", "trop mou sur le côté"],
    ["it beats on the side", "golpetea en el costado", "elle bat sur le côté"],
    ["the side stays dull", "el costado queda opaco", "le côté reste terne"],
    ["the side is rubbed too much", "el costado se frota demasiado", "le côté est trop frotté"],
    ["few strips pass", "pasan pocas tiras", "peu de lanières passent"],
    [
        "mirrors are pushed hard or folded",
        "los espejos se empujan fuerte o se pliegan",
        "les rétroviseurs sont poussés fort ou rabattus",
    ],
    ["mirrors are hardly touched", "los espejos apenas se tocan", "les rétroviseurs sont à peine touchés"],
    ["it slams at the stop", "da un golpe en el tope", "elle claque à la butée"],
    ["it goes deep into the bumper", "entra hondo en el tope", "elle s'enfonce dans le butoir"],
    ["it hardly meets the bumper", "apenas llega al tope", "elle touche à peine le butoir"],
    ["it bounces off the stop", "rebota en el tope", "elle rebondit sur la butée"],
    ["it comes in slowly", "entra despacio", "elle revient lentement"],
    ["it comes in fast", "entra rápido", "elle revient vite"],
    ["it comes to stand too far out", "se queda parado muy afuera", "elle s'arrête trop à l'extérieur"],
    [
        "it stays out after a vehicle",
        "se queda afuera después de un vehículo",
        "elle reste ouverte après un véhicule",
    ],
    ["it comes to stand too far in", "se queda parado muy adentro", "elle s'arrête trop à l'intérieur"],
    [
        "it is not settled before the next vehicle",
        "no se asienta antes del vehículo siguiente",
        "elle n'est pas posée avant le véhicule suivant",
    ],
    ["it is thrown wide", "sale lanzado hacia afuera", "elle est projetée au large"],
    ["it does not swing out as far", "no se abre tanto", "elle ne s'ouvre pas autant"],
    ["it chatters along the vehicle", "vibra a lo largo del vehículo", "elle broute le long du véhicule"],
    [
        "the spindle labours or trips",
        "el eje se esfuerza o dispara la protección",
        "l'axe peine ou disjoncte",
    ],
    ["the spindle runs light", "el eje gira sin carga", "l'axe tourne à vide"],
    ["hub marks, or pressed flat", "marcas del núcleo, o aplastado", "traces du moyeu, ou écrasée"],
    ["it hits its outer stop", "pega en su tope exterior", "elle tape sa butée extérieure"],
    [
        "the gauge climbs, or does not fall when it should",
        "el manómetro sube, o no cae cuando debe",
        "le manomètre monte, ou ne baisse pas quand il devrait",
    ],
    ["the brush turns slowly", "el cepillo gira lento", "la brosse tourne lentement"],
    ["the media look short", "las tiras se ven cortas", "les lanières paraissent courtes"],
    ["the brushes touch", "los cepillos se tocan", "les brosses se touchent"],
    [
        "a strip in the middle of the tail",
        "una franja en el medio de la cola",
        "une bande au milieu de l'arrière",
    ],
    [
        "a strip in the middle of the nose",
        "una franja en el medio del frente",
        "une bande au milieu de l'avant",
    ],
    [
        "only on busy days, when the line is fast",
        "solo en días de mucho trabajo, con la línea rápida",
        "seulement les jours chargés, ligne rapide",
    ],
    ["also when the line is slow", "también con la línea lenta", "aussi ligne lente"],
    ["only on wide vehicles", "solo en vehículos anchos", "seulement sur les véhicules larges"],
    ["only on this side", "solo de este lado", "seulement de ce côté"],
    ["on both sides", "de ambos lados", "des deux côtés"],
    ["from one day to the next", "de un día para otro", "du jour au lendemain"],
    ["little by little", "poco a poco", "peu à peu"],
    ["since somebody worked on it", "desde que alguien trabajó en ella", "depuis une intervention"],
    ["since something was hit", "desde que algo fue golpeado", "depuis un choc"],
    [
        "when cold, or with the first vehicles of the day",
        "en frío, o con los primeros vehículos del día",
        "à froid, ou avec les premiers véhicules du jour",
    ],
    [
        "after rain, or with dirty vehicles",
        "después de lluvia, o con vehículos sucios",
        "après la pluie, ou avec des véhicules sales",
    ],
    [
        "since other vehicles come",
        "desde que vienen otros vehículos",
        "depuis que d'autres véhicules viennent",
    ],
];

/// A text of the tables of faults in a language; as it stands where nothing is known of it.
pub(in crate::report::sheet) fn of_fault(english: &str, language: Language) -> String {
    let row = ROWS.iter().find(|row| row[0] == english);
    let place = match language {
        Language::English => 0,
        Language::Spanish => 1,
        Language::French => 2,
    };
    row.map_or(english, |row| row[place]).to_owned()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::fault::SIGNS;
    use crate::fault::cause::CAUSES;
    use crate::fault::check::CHECKS;

    #[test]
    fn verif_every_text_of_the_tables_has_its_row_and_no_other() {
        let mut all: Vec<&str> = vec![crate::report::fault_report::AS_SET];
        all.extend(crate::report::fault_report::HEADLINES);
        all.extend(SIGNS.iter().map(|row| row.words));
        all.extend(CHECKS.iter().flat_map(|row| [row.how, row.tool, row.caution.text()]));
        for cause in CAUSES.iter() {
            all.push(cause.name);
            all.extend(cause.behind.iter().flat_map(|b| [b.what, b.finding, b.repair]));
        }
        all.sort_unstable();
        all.dedup();
        let mut known: Vec<&str> = ROWS.iter().map(|row| row[0]).collect();
        known.sort_unstable();
        assert_eq!(all, known);
        assert!(known.len() > 200);
        for [english, spanish, french] in ROWS {
            assert!(!spanish.trim().is_empty() && !french.trim().is_empty(), "{english}");
            // What differs in no language is a number of a word that is the same in both.
            assert!(spanish != english || french != english, "{english}");
        }
    }
}
