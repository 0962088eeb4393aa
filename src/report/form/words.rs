//! What the field form says, on paper and on a page.

use crate::calibrate::{AirWord, InstrumentWord, OfWord, WayWord};

/// What can hurt at a test.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Risk {
    /// Locked out, nothing moves.
    Still,
    /// The arm moves by hand or by itself.
    Arm,
    /// The brush turns.
    Spin,
    /// The line runs.
    Line,
}

/// A sentence in English, Spanish and French.
pub(super) type Said = [&'static str; 3];

/// The words of a test.
pub(super) struct TestWords {
    pub key: &'static str,
    pub risk: Risk,
    pub name: Said,
    pub how: Said,
}

const fn test(key: &'static str, risk: Risk, name: Said, how: Said) -> TestWords {
    TestWords { key, risk, name, how }
}

pub(super) const TESTS: [TestWords; 16] = [
    test(
        "pulls",
        Risk::Arm,
        ["Pulls with a spring scale", "Tirones con dinamómetro", "Tractions au peson"],
        [
            "Scale at the spindle, square to the arm. Pull out slowly, then let it back in slowly, still holding; read while it moves. Write a minus where it must be pulled in.",
            "Dinamómetro en el husillo, a escuadra con el brazo. Tire despacio hacia afuera y luego deje volver reteniendo; lea en movimiento. Anote un menos si hay que tirar hacia adentro.",
            "Peson à la broche, d'équerre avec le bras. Tirez lentement vers l'extérieur, puis laissez revenir en retenant; lisez pendant le mouvement. Notez un moins s'il faut tirer vers l'intérieur.",
        ],
    ),
    test(
        "breakaway",
        Risk::Arm,
        ["Breakaway", "Arranque", "Décollement"],
        [
            "From rest, pull harder and harder; read the highest force before it moves. If it never moves, write the highest force and «would not move».",
            "Desde el reposo, tire cada vez más; lea la mayor fuerza antes de moverse. Si no se mueve, anote esa fuerza y «no se movió».",
            "À l'arrêt, tirez de plus en plus; lisez la plus grande force avant qu'il bouge. S'il ne bouge pas, notez-la avec «n'a pas bougé».",
        ],
    ),
    test(
        "walking pull",
        Risk::Arm,
        ["Pull at a steady walk", "Tirón a paso constante", "Traction au pas"],
        [
            "Walk the arm outboard at a steady pace, read on the move. Time the walk over a taped distance.",
            "Lleve el brazo hacia afuera a paso constante y lea en marcha. Cronometre el paso sobre una distancia medida.",
            "Emmenez le bras vers l'extérieur au pas régulier, lisez en marche. Chronométrez sur une distance mesurée.",
        ],
    ),
    test(
        "timed swing",
        Risk::Arm,
        ["Timed swing", "Giro cronometrado", "Rotation chronométrée"],
        [
            "Let the arm go from rest; stop the watch as it passes the second place. If it does not arrive, write the time waited and «did not arrive».",
            "Suelte el brazo desde el reposo; pare el reloj al pasar el segundo punto. Si no llega, anote el tiempo esperado y «no llegó».",
            "Lâchez le bras à l'arrêt; arrêtez la montre au second repère. S'il n'arrive pas, notez le temps attendu et «pas arrivé».",
        ],
    ),
    test(
        "filmed swing",
        Risk::Arm,
        ["Filmed swing", "Giro en video", "Rotation filmée"],
        [
            "Tape marks on the floor, film from above or along them. Write the frames a second, and the frame at each mark counted from the release.",
            "Marcas de cinta en el piso; filme desde arriba. Anote cuadros por segundo y el cuadro en cada marca desde la suelta.",
            "Repères au sol; filmez d'en haut. Notez les images par seconde et l'image à chaque repère depuis le lâcher.",
        ],
    ),
    test(
        "push-back",
        Risk::Spin,
        ["Push-back of the media", "Empuje del material", "Poussée des lanières"],
        [
            "A flat, guarded board on a scale, at each depth; depth from the outermost reach of the strips.",
            "Tabla plana y resguardada sobre dinamómetro, a cada profundidad medida desde el alcance de las tiras.",
            "Planche plane et protégée sur peson, à chaque profondeur mesurée depuis la portée des lanières.",
        ],
    ),
    test(
        "board power",
        Risk::Spin,
        ["Power against a board", "Potencia contra una tabla", "Puissance contre une planche"],
        [
            "Spindle power at the drive, or current and voltage by a qualified electrician, the brush leaning on a fixed guarded board.",
            "Potencia en el variador, o corriente y tensión por electricista calificado, con el cepillo contra una tabla fija y resguardada.",
            "Puissance au variateur, ou courant et tension par un électricien qualifié, brosse contre une planche fixe et protégée.",
        ],
    ),
    test(
        "gaps",
        Risk::Still,
        ["Gaps at the screws", "Holguras en los tornillos", "Jeux aux vis"],
        [
            "Frame to bearing block on the wall side, at the upper and the lower adjusting screw.",
            "Del marco al bloque, lado de la pared, en el tornillo superior y el inferior.",
            "Du cadre au palier, côté mur, à la vis du haut et à celle du bas.",
        ],
    ),
    test(
        "level",
        Risk::Still,
        ["Level along the lane", "Nivel a lo largo del carril", "Niveau le long de la voie"],
        [
            "Level against the pivot, along the lane: how far the top leans downstream.",
            "Nivel contra el pivote, a lo largo del carril: cuánto se inclina arriba hacia la salida.",
            "Niveau contre le pivot, le long de la voie: de combien le haut penche vers l'aval.",
        ],
    ),
    test(
        "weigh",
        Risk::Still,
        ["Weigh the counterweight", "Pesar el contrapeso", "Peser le contrepoids"],
        [
            "Arm blocked, cable slack. Two people or a hoist where it is heavy.",
            "Brazo calzado, cable flojo. Dos personas o polipasto si pesa.",
            "Bras calé, câble détendu. À deux ou au palan s'il est lourd.",
        ],
    ),
    test(
        "gauge",
        Risk::Still,
        ["Gauge of the cap end", "Manómetro del lado tapa", "Manomètre côté fond"],
        [
            "Read it with air on and the arm at rest; bled, it must show zero: if not, write what it shows.",
            "Lea con aire y el brazo en reposo; purgado debe marcar cero: si no, anote lo que marca.",
            "Lisez sous air, bras au repos; purgé, il doit indiquer zéro: sinon notez l'indication.",
        ],
    ),
    test(
        "wet drag",
        Risk::Still,
        ["Wet drag", "Arrastre en mojado", "Frottement mouillé"],
        [
            "A piece of media under the weight, on a wet painted panel with the foam in use. Pull level; read while it slides.",
            "Un trozo de material bajo el peso, sobre panel pintado y mojado con la espuma de uso. Tire a nivel; lea al deslizar.",
            "Un morceau de lanière sous le poids, sur un panneau peint mouillé avec la mousse en usage. Tirez à plat; lisez en glissant.",
        ],
    ),
    test(
        "diameter",
        Risk::Spin,
        ["Diameter at speed", "Diámetro girando", "Diamètre en rotation"],
        [
            "Against a marked board, from outside the guard.",
            "Contra una tabla marcada, desde fuera del resguardo.",
            "Contre une planche graduée, depuis l'extérieur de la protection.",
        ],
    ),
    test(
        "rest",
        Risk::Still,
        ["Where the arm rests", "Dónde descansa el brazo", "Où le bras repose"],
        [
            "Spindle from the lane centreline, arm against its stop.",
            "Husillo desde el eje del carril, brazo contra su tope.",
            "Broche depuis l'axe de la voie, bras contre sa butée.",
        ],
    ),
    test(
        "strip",
        Risk::Line,
        ["Unwashed strip on the tail", "Franja sin lavar en la cola", "Bande non lavée à l'arrière"],
        [
            "By tape, once the vehicle has left the tunnel, three vehicles of one kind. Time the conveyor over a taped distance. Write how each sat on the track.",
            "Con cinta, ya fuera del túnel, tres vehículos iguales. Cronometre el transportador sobre una distancia medida. Anote cómo iba cada uno en la vía.",
            "Au mètre, le véhicule sorti du tunnel, trois véhicules pareils. Chronométrez le convoyeur sur une distance mesurée. Notez la position de chacun.",
        ],
    ),
    test(
        "chase",
        Risk::Line,
        ["Chase on a film", "Persecución en video", "Poursuite filmée"],
        [
            "Film from a fixed stand: from the tail passing the brush until the brush is back on it.",
            "Filme desde un trípode: desde que la cola pasa el cepillo hasta que el cepillo vuelve a ella.",
            "Filmez sur pied: de l'arrière qui passe la brosse jusqu'à ce qu'elle y revienne.",
        ],
    ),
];

pub(super) const RISKS: [(Risk, Said); 4] = [
    (
        Risk::Still,
        [
            "Locked out and air bled, except to read the gauge; arm blocked.",
            "Con bloqueo y aire purgado, salvo para leer el manómetro; brazo calzado.",
            "Consigné et air purgé, sauf pour lire le manomètre; bras calé.",
        ],
    ),
    (
        Risk::Arm,
        [
            "Conveyor and spin locked out. The arm runs back by itself: everybody clear of its whole path, and of its pinch points.",
            "Transportador y giro bloqueados. El brazo vuelve solo: nadie en todo su recorrido ni en sus puntos de atrapamiento.",
            "Convoyeur et rotation consignés. Le bras revient seul: personne sur toute sa course ni à ses points de pincement.",
        ],
    ),
    (
        Risk::Spin,
        [
            "The brush turns: only with a guarded board fixed in place, read from outside the guard, nobody in reach.",
            "El cepillo gira: solo con tabla fija y resguardada, leyendo desde fuera del resguardo, nadie al alcance.",
            "La brosse tourne: seulement avec une planche fixe et protégée, lecture hors protection, personne à portée.",
        ],
    ),
    (
        Risk::Line,
        [
            "The line runs: stand clear of conveyor and arms; touch no vehicle before it has left.",
            "La línea corre: lejos del transportador y los brazos; no toque un vehículo antes de que salga.",
            "La ligne tourne: restez loin du convoyeur et des bras; ne touchez aucun véhicule avant sa sortie.",
        ],
    ),
];

pub(super) const TITLE: Said = [
    "Field form: readings of this machine",
    "Hoja de campo: lecturas de esta máquina",
    "Fiche de terrain: relevés de cette machine",
];
pub(super) const ORDER: Said = [
    "Tests in the order of their worth for the gap on the tail, per minute. Whoever has less time stops sooner. Places are of the spindle from the lane centreline.",
    "Pruebas en el orden de lo que valen, por minuto, para la franja de la cola. Quien tiene menos tiempo para antes. Los puntos son del husillo desde el eje del carril.",
    "Essais dans l'ordre de ce qu'ils valent, par minute, pour la bande à l'arrière. Qui a moins de temps s'arrête plus tôt. Les repères sont ceux de la broche depuis l'axe de la voie.",
];
pub(super) const OTHERS: Said = [
    "The maker's manual, local codes and licensed practice come first.",
    "El manual del fabricante, los códigos locales y la práctica autorizada van primero.",
    "Le manuel du constructeur, les règles locales et la pratique agréée passent d'abord.",
];
pub(super) const DATE_WHO: Said =
    ["Date, who, instruments", "Fecha, quién, instrumentos", "Date, qui, instruments"];
pub(super) const MINUTES: Said = ["min", "min", "min"];
pub(super) const WAYS: [(WayWord, Said); 4] = [
    (WayWord::Out, ["out", "afuera", "vers l'extérieur"]),
    (WayWord::In, ["in", "adentro", "vers l'intérieur"]),
    (WayWord::StartOut, ["out from rest", "afuera desde reposo", "vers l'extérieur, à l'arrêt"]),
    (WayWord::StartIn, ["in from rest", "adentro desde reposo", "vers l'intérieur, à l'arrêt"]),
];
pub(super) const AIR: [(AirWord, Said); 2] = [
    (AirWord::On, ["air on", "con aire", "sous air"]),
    (AirWord::Off, ["air bled", "aire purgado", "air purgé"]),
];
pub(super) const DEPTH: Said = ["depth", "profundidad", "profondeur"];
pub(super) const HEIGHT: Said = ["height", "altura", "hauteur"];
pub(super) const LOAD: Said = ["weight", "peso", "poids"];
pub(super) const UPPER_LOWER: Said = ["upper, lower", "superior, inferior", "haut, bas"];
pub(super) const SPEED: Said = ["line speed", "velocidad", "vitesse"];
pub(super) const WALK: Said = ["pace", "paso", "allure"];
pub(super) const STILL: Said = ["still", "quieto", "à l'arrêt"];
pub(super) const TURNING: Said = ["turning", "girando", "en rotation"];

/// What a form asks for, by its name in a file of readings.
pub(super) const FIELDS: [(&str, Said); 28] = [
    (
        "brush_center",
        ["spindle from the centreline", "husillo desde el eje del carril", "broche depuis l'axe de la voie"],
    ),
    ("walk", WALK),
    ("force", ["force", "fuerza", "effort"]),
    ("would_not_move", ["would not move at", "no se movió con", "n'a pas bougé à"]),
    ("from", ["let go at", "soltado en", "lâché à"]),
    ("to", ["watch stopped at", "reloj parado en", "montre arrêtée à"]),
    ("time", ["time", "tiempo", "temps"]),
    ("did_not_arrive", ["did not arrive in", "no llegó en", "pas arrivé en"]),
    ("frames_per_second", ["frames a second", "cuadros por segundo", "images par seconde"]),
    ("marks", ["frame at", "cuadro en", "image à"]),
    ("depth", DEPTH),
    (
        "height",
        ["height of media on the board", "altura de tiras en la tabla", "hauteur de lanières sur la planche"],
    ),
    ("power", ["power", "potencia", "puissance"]),
    (
        "current",
        [
            "current of each phase, in place of the power",
            "corriente de cada fase, en lugar de la potencia",
            "courant de chaque phase, au lieu de la puissance",
        ],
    ),
    (
        "volts",
        [
            "voltage between phases, for a current",
            "tensión entre fases, para una corriente",
            "tension entre phases, pour un courant",
        ],
    ),
    (
        "power_factor",
        [
            "power factor, 0.8 when not given",
            "factor de potencia, 0.8 si no se da",
            "facteur de puissance, 0.8 sans indication",
        ],
    ),
    (
        "efficiency",
        [
            "share that comes to the spindle, 75 % when not given",
            "parte que llega al eje, 75 % si no se da",
            "part qui arrive à la broche, 75 % sans indication",
        ],
    ),
    ("upper", ["upper screw", "tornillo superior", "vis du haut"]),
    ("lower", ["lower screw", "tornillo inferior", "vis du bas"]),
    (
        "top_leans_downstream",
        ["top leans downstream", "arriba se inclina a la salida", "le haut penche vers l'aval"],
    ),
    ("mass", ["mass", "masa", "masse"]),
    ("cap", ["pressure", "presión", "pression"]),
    ("load", ["weight on the media", "peso sobre el material", "poids sur les lanières"]),
    ("pull", ["pull while it slides", "tirón al deslizar", "traction en glissant"]),
    ("diameter", ["diameter", "diámetro", "diamètre"]),
    (
        "conveyor_speed",
        ["line speed as timed", "velocidad medida de la línea", "vitesse mesurée de la ligne"],
    ),
    ("width", ["width of the strip", "ancho de la franja", "largeur de la bande"]),
    (
        "delay",
        [
            "tail passing the brush until the brush is on it",
            "de la cola en el cepillo al cepillo en la cola",
            "de l'arrière à la brosse jusqu'à la brosse dessus",
        ],
    ),
];
/// The same for how a vehicle sat.
pub(super) const SAT: [(&str, Said); 2] = [
    (
        "lateral_offset",
        [
            "vehicle off the centreline, + left",
            "vehículo fuera del eje, + izquierda",
            "véhicule hors de l'axe, + gauche",
        ],
    ),
    (
        "yaw",
        [
            "vehicle turned, + nose left",
            "vehículo girado, + frente a la izquierda",
            "véhicule de travers, + avant à gauche",
        ],
    ),
];
/// Instruments, by their kind in a file of readings.
pub(super) const INSTRUMENTS: [(InstrumentWord, Said); 4] = [
    (InstrumentWord::Scale, ["Spring scale", "Dinamómetro", "Peson"]),
    (InstrumentWord::Stopwatch, ["Stopwatch", "Cronómetro", "Chronomètre"]),
    (InstrumentWord::Video, ["Phone that films", "Teléfono que filma", "Téléphone qui filme"]),
    (InstrumentWord::Gauge, ["Gauge", "Manómetro", "Manomètre"]),
];
/// Units that readings are of.
pub(super) const OF: [(OfWord, Said); 3] = [
    (
        OfWord::Both,
        [
            "Both, taken as alike; read at the left",
            "Ambos, tomados como iguales; leídos a la izquierda",
            "Les deux, pris pour pareils ; lus à gauche",
        ],
    ),
    (OfWord::Left, ["Left", "Izquierdo", "Gauche"]),
    (OfWord::Right, ["Right", "Derecho", "Droite"]),
];
