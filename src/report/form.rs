//! The field form: a page to take to the machine, with every test that tells something of it, the one worth most for each minute first, where to hold
//! what, and room to write.

use super::sheet::Language;
use crate::calibrate::{Advice, AirWord, ReadingFile, WayWord, Worth};
use crate::drawing::svg::escape;
use crate::units::{Dimension, ForceDim, LengthDim, Quantity, UnitSystem, format};

/// What can hurt at a test.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Risk {
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
type Said = [&'static str; 3];

struct TestWords {
    key: &'static str,
    risk: Risk,
    name: Said,
    how: Said,
}

const fn test(key: &'static str, risk: Risk, name: Said, how: Said) -> TestWords {
    TestWords { key, risk, name, how }
}

const TESTS: [TestWords; 16] = [
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

const RISKS: [(Risk, Said); 4] = [
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

const TITLE: Said = [
    "Field form: readings of this machine",
    "Hoja de campo: lecturas de esta máquina",
    "Fiche de terrain: relevés de cette machine",
];
const ORDER: Said = [
    "Tests in the order of their worth for the gap on the tail, per minute. Whoever has less time stops sooner. Places are of the spindle from the lane centreline.",
    "Pruebas en el orden de lo que valen, por minuto, para la franja de la cola. Quien tiene menos tiempo para antes. Los puntos son del husillo desde el eje del carril.",
    "Essais dans l'ordre de ce qu'ils valent, par minute, pour la bande à l'arrière. Qui a moins de temps s'arrête plus tôt. Les repères sont ceux de la broche depuis l'axe de la voie.",
];
const OTHERS: Said = [
    "The maker's manual, local codes and licensed practice come first.",
    "El manual del fabricante, los códigos locales y la práctica autorizada van primero.",
    "Le manuel du constructeur, les règles locales et la pratique agréée passent d'abord.",
];
const DATE_WHO: Said = ["Date, who, instruments", "Fecha, quién, instrumentos", "Date, qui, instruments"];
const MINUTES: Said = ["min", "min", "min"];
const WAYS: [(WayWord, Said); 4] = [
    (WayWord::Out, ["out", "afuera", "vers l'extérieur"]),
    (WayWord::In, ["in", "adentro", "vers l'intérieur"]),
    (WayWord::StartOut, ["out from rest", "afuera desde reposo", "vers l'extérieur, à l'arrêt"]),
    (WayWord::StartIn, ["in from rest", "adentro desde reposo", "vers l'intérieur, à l'arrêt"]),
];
const AIR: [(AirWord, Said); 2] = [
    (AirWord::On, ["air on", "con aire", "sous air"]),
    (AirWord::Off, ["air bled", "aire purgado", "air purgé"]),
];
const DEPTH: Said = ["depth", "profundidad", "profondeur"];
const HEIGHT: Said = ["height", "altura", "hauteur"];
const LOAD: Said = ["weight", "peso", "poids"];
const UPPER_LOWER: Said = ["upper, lower", "superior, inferior", "haut, bas"];
const SPEED: Said = ["line speed", "velocidad", "vitesse"];
const WALK: Said = ["pace", "paso", "allure"];
const STILL: Said = ["still", "quieto", "à l'arrêt"];
const TURNING: Said = ["turning", "girando", "en rotation"];

/// The form as one page of HTML that needs no network.
pub fn form_html(language: Language, units: UnitSystem, title: &str, advice: &Advice) -> String {
    let say = |said: &Said| match language {
        Language::English => said[0],
        Language::Spanish => said[1],
        Language::French => said[2],
    };
    let mut out = format!(
        "<!DOCTYPE html>\n<html lang=\"{}\">\n<head>\n<meta charset=\"utf-8\">\n<title>{}</title>\n<style>{STYLE}</style>\n</head>\n<body>\n<h1>{}</h1>\n<p><b>{}</b></p>\n",
        language.code(),
        say(&TITLE),
        say(&TITLE),
        escape(title)
    );
    out.push_str(&format!("<p class=\"write\">{}</p>\n<ul>\n", say(&DATE_WHO)));
    out.push_str(&format!("<li>{}</li>\n", say(&OTHERS)));
    for (place, (_, said)) in RISKS.iter().enumerate() {
        out.push_str(&format!("<li><b>{}</b> {}</li>\n", letter(place), say(said)));
    }
    out.push_str(&format!("</ul>\n<p>{}</p>\n<table>\n", say(&ORDER)));
    for (number, worth) in advice.worths.iter().enumerate() {
        let Some(words) = TESTS.iter().find(|words| words.key == worth.test.key) else { continue };
        let risk = RISKS.iter().position(|(risk, _)| *risk == words.risk).unwrap_or(0);
        out.push_str(&format!(
            "<tr><th>{}</th><td><b>{}</b> {:.0} {} <b class=\"risk\">{}</b><br>{}</td><td>{}</td></tr>\n",
            number + 1,
            say(&words.name),
            worth.test.minutes,
            say(&MINUTES),
            letter(risk),
            say(&words.how),
            rows(worth, units, &say)
        ));
    }
    out.push_str("</table>\n</body>\n</html>\n");
    out
}

fn letter(place: usize) -> char {
    ['A', 'B', 'C', 'D'][place.min(3)]
}

/// What is written down: a line for each reading, a blank for each repeat.
fn rows(worth: &Worth, units: UnitSystem, say: &dyn Fn(&Said) -> &'static str) -> String {
    // Places are made in whole inches, and are told so.
    let length = |q: &Quantity<LengthDim>| match units {
        UnitSystem::Us => q.written().to_owned(),
        UnitSystem::Si => format(LengthDim::INFO, q.si(), units),
    };
    let mut out = String::new();
    for reading in &worth.test.readings.file.readings {
        let (label, blanks) = match reading {
            ReadingFile::Pull { way, brush_center, air, walk, force, .. } => {
                let way = WAYS.iter().find(|(w, _)| w == way).map_or("", |(_, said)| say(said));
                let air = AIR.iter().find(|(a, _)| a == air).map_or("", |(_, said)| say(said));
                let walk = walk.as_ref().map_or_else(String::new, |_| format!(", {} ____", say(&WALK)));
                (format!("{way}, {}, {air}{walk}", length(brush_center)), force.len())
            }
            ReadingFile::Swing { from, to, time, .. } => {
                (format!("{} → {}", length(from), length(to)), time.len())
            }
            ReadingFile::Film { from, marks, .. } => {
                let marks: Vec<String> = marks.iter().map(|(m, _)| format!("{} ____", length(m))).collect();
                (format!("{} → {}", length(from), marks.join(", ")), 0)
            }
            ReadingFile::PushBack { depth, height, spinning, force, .. } => {
                let how = if *spinning { say(&TURNING) } else { say(&STILL) };
                let (d, h) = (length(depth), length(height));
                (format!("{how}, {} {d}, {} {h}", say(&DEPTH), say(&HEIGHT)), force.len())
            }
            ReadingFile::Board { depth, height, power, .. } => {
                let (d, h) = (length(depth), length(height));
                (format!("{} {d}, {} {h}", say(&DEPTH), say(&HEIGHT)), power.len())
            }
            ReadingFile::Gaps { .. } => (say(&UPPER_LOWER).to_owned(), 2),
            ReadingFile::WetDrag { load, pull, .. } => {
                (format!("{} {}", say(&LOAD), format(ForceDim::INFO, load.si(), units)), pull.len())
            }
            ReadingFile::Strip { vehicle, width, .. } => {
                (format!("{}, {} ____", escape(vehicle), say(&SPEED)), width.len())
            }
            ReadingFile::Chase { vehicle, delay, .. } => {
                (format!("{}, {} ____", escape(vehicle), say(&SPEED)), delay.len())
            }
            ReadingFile::Level { .. }
            | ReadingFile::Weight { .. }
            | ReadingFile::Gauge { .. }
            | ReadingFile::Diameter { .. }
            | ReadingFile::Rest { .. } => (String::new(), 2),
        };
        out.push_str(&format!("{label}{}<br>", " ______".repeat(blanks)));
    }
    out
}

/// Prints on one page of letter or A4 paper.
const STYLE: &str = "@page{margin:10mm}body{font:9.5pt/1.25 system-ui,sans-serif;color:#000;background:#fff;margin:0 auto;max-width:190mm}h1{font-size:13pt;margin:0}p,ul{margin:2px 0}ul{padding-left:5mm}table{border-collapse:collapse;width:100%;font-size:8.5pt}th,td{border-top:1px solid #777;padding:2px 4px;text-align:left;vertical-align:top}td:last-child{width:47%;line-height:1.5}tr{break-inside:avoid}.risk{border:1px solid #000;padding:0 3px}.write{border-bottom:1px solid #000;padding-bottom:8px}";

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn verif_every_test_has_its_words_in_every_language() {
        for words in &TESTS {
            for said in [&words.name, &words.how] {
                assert!(said.iter().all(|text| text.len() > 5), "{}", words.key);
                assert!(said[0] != said[1] && said[1] != said[2], "{}", words.key);
            }
        }
        // A brush that turns and an arm that swings are never read as if locked out.
        for (key, risk) in [("push-back", Risk::Spin), ("board power", Risk::Spin), ("pulls", Risk::Arm)] {
            assert_eq!(TESTS.iter().find(|w| w.key == key).map(|w| w.risk), Some(risk));
        }
    }
}
