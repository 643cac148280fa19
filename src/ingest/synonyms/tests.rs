use super::{ROWS, Suggestion, Sureness, TABLE, YES_NO, fold, parse, suggest, without_commas};
use crate::domain::codes::{CodeList, YesNo};
use crate::domain::fields::{CaseField, Field, Kind, Origin, PassField};
use std::collections::{BTreeMap, BTreeSet};

/// A word as the table holds it.
fn known(text: &str) -> String {
    without_commas(&fold(text))
}

/// Every coded field that an export can hold, with its list.
fn coded_fields() -> BTreeMap<&'static str, CodeList> {
    fn coded<F: Field>(fields: &mut BTreeMap<&'static str, CodeList>) {
        for field in F::ALL {
            if let (Kind::Code(list), true) = (field.kind(), field.origin() != Origin::Derived) {
                fields.insert(field.name(), list);
            }
        }
    }
    let mut fields = BTreeMap::new();
    coded::<CaseField>(&mut fields);
    coded::<PassField>(&mut fields);
    fields
}

/// Made by hand from what the words mean, not from what the code says.
const EXPECTED: &str = r"
presentation
  Food impaction = our food_impaction
  food_impaction = our food_impaction
  Upper GI bleeding = our upper_bleed
  FOOD BOLUS = synonym food_impaction
  Food bolus impaction - esophagus = synonym food_impaction
  Foreign-body ingestion = synonym foreign_body
  haematemesis = synonym upper_bleed
  UGIB = synonym upper_bleed
  melaena = disputed upper_bleed
  melena = disputed upper_bleed
  LGIB, colonoscopy = synonym lower_bleed
  haematochezia = disputed lower_bleed
  FB = disputed foreign_body
  GI bleed = -
  bleeding = -
  food or foreign body = -
  caustic ingestion = -
  forein body = spelling foreign_body
  Food bolus? = -
  upper GI bleed vs lower GI bleed = -
  dysphagia = -
sex
  F = synonym female
  m = synonym male
  Female = our female
  Woman = synonym female
  1 = disputed male
  2 = disputed female
  X = synonym other
  femal = spelling female
  mlae = spelling male
  U = -
  mal = -
  9 = -
  emale = -
setting
  ED = synonym emergency_department
  E.D. = synonym emergency_department
  A&E = synonym emergency_department
  ER = synonym emergency_department
  ED bay 3 = synonym emergency_department
  Emergency Department = our emergency_department
  Emergency Dept. = synonym emergency_department
  ICU = our icu
  ICU bed 12 = synonym icu
  MICU = synonym icu
  OR = synonym operating_room
  Main OR = synonym operating_room
  Theatre 4 = synonym operating_room
  operating theatre = synonym operating_room
  EUA = disputed operating_room
  GI Lab = synonym endoscopy_unit
  Endoscopy suite = synonym endoscopy_unit
  medical floor = synonym ward
  Ward 7B = synonym ward
  HDU = disputed icu
  emergency departmnt = synonym emergency_department
  emergncy = spelling emergency_department
  Emergency department, adult = synonym emergency_department
  endoscopy untit = synonym endoscopy_unit
  endosocpy = spelling endoscopy_unit
  Bay 3 or 4 = -
  ED then ICU = -
  ED or ICU = -
  bedside = -
  PACU = -
  word = -
object_type
  Meat = synonym food_bolus
  steak bolus = synonym food_bolus
  chicken = synonym food_bolus
  chicken bone = synonym bone
  Bones = our bone
  fishbone = synonym fish_bone
  fish-bone = our fish_bone
  Coins = our coin
  quarter = synonym coin
  Button batteries = synonym disc_battery
  coin cell battery = synonym disc_battery
  AA battery = synonym cyl_battery
  battery = -
  lithium battery = disputed disc_battery
  magnets x 2 = synonym magnet
  sewing needle = synonym sharp
  tooth-pick = synonym sharp
  razor blades = synonym sharp
  Toothbrush = synonym long
  spoon (tea) = synonym long
  partial denture = synonym dental
  PTP = synonym blister_pack
  body packer = synonym drug_packet
  trichobezoar = synonym bezoar
  water beads = synonym absorbent
  video capsule = synonym medical
  stent = synonym medical
  fish = disputed food_bolus
  buton batery = spelling disc_battery
  tooothpick = spelling sharp
  nial = spelling sharp
  coil = -
  none = -
  cone = -
  coin and battery = -
  coin, battery = -
  fish, bone = -
  coin; penny = synonym coin
  coin or button battery = -
  no bone seen = -
  bone? = -
  foreign body = -
  pin = synonym sharp
  pan = -
  bond = -
object_location
  Oesophagus = our esophagus
  upper oesophagus = our upper_esophagus
  proximal oesophagus = synonym upper_esophagus
  mid-oesophagus = synonym middle_esophagus
  Distal esophagus = synonym lower_esophagus
  GE junction = synonym lower_esophagus
  OGJ = synonym lower_esophagus
  lower 1/3 = synonym lower_esophagus
  gastric antrum = synonym stomach
  D2 = synonym duodenum
  jejunum = synonym beyond
  small bowel = disputed beyond
  cardia = disputed lower_esophagus
  stomach and duodenum = -
  pharynx = -
  throat = -
  duodenom = spelling duodenum
  middle oesophgus = synonym middle_esophagus
  middle oesophagsu = spelling middle_esophagus
  esophagus, distal = synonym lower_esophagus
  Oesophagus (upper third) = synonym upper_esophagus
  not in stomach = -
obstruction
  Complete = our complete
  total obstruction = synonym complete
  unable to swallow saliva = synonym complete
  can't swallow saliva = synonym complete
  incomplete = synonym partial
  Incomplete obstruction = synonym partial
  No = synonym none
  no obstruction = our none
  unobstructed = synonym none
  drooling = disputed complete
  yes = -
  near complete = -
  no solid food = -
  compleete = spelling complete
  imcomplete = spelling partial
sharp
  Y = synonym yes
  sharp = synonym yes
  blunt = synonym no
  not sharp = synonym no
  Non-sharp = synonym no
  not sure if sharp = -
airway
  ETT = synonym intubated
  tube = synonym intubated
  GETA = synonym intubated
  GA = disputed intubated
  MAC = synonym sedated
  conscious sedation = synonym sedated
  propofol sedation = synonym sedated
  no sedation = synonym awake
  not intubated = -
  sedated, not intubated = our sedated
  extubated = -
  LMA = -
  none = disputed awake
  intubted in ED = synonym intubated
  intubatted = spelling intubated
overtube
  Yes = our yes
  y = synonym yes
  TRUE = synonym yes
  1 = synonym yes
  0 = disputed no
  checked = synonym yes
  Unchecked = disputed no
  o/tube = synonym yes
  over-tube = synonym yes
  not used = synonym no
  No - not available = disputed no
  No - later = synonym no
  No, short = synonym no
  attempted = -
  uncheked = spelling no
hood
  hood (transparent) = disputed yes
  cap = -
cap
  clear cap = synonym yes
  hood = -
outcome
  Retrieved = synonym removed
  taken out = synonym removed
  unsuccessful = synonym failed
  failed removal = synonym failed
  not removed = synonym failed
  removed? = -
  pushed into stomach = synonym pushed
  Advanced into the stomach = synonym pushed
  no FB seen = synonym not_present
  passed spontaneously = synonym not_present
  passed = disputed not_present
  Canceled = synonym cancelled
  case called off = synonym cancelled
  refused = disputed cancelled
  Transfered = synonym transferred
  transferred to ICU = -
  transferred in = -
  hemostasis = synonym controlled
  haemostasis achieved = synonym controlled
  bleeding not controlled = our not_controlled
  uncontrolled = synonym not_controlled
  not controled = synonym not_controlled
  uncontrollled = spelling not_controlled
  no therapy needed = synonym no_treatment_needed
  died = -
  failed push, then removed = -
  remooved = spelling removed
adverse_event
  None = our none
  no complications = synonym none
  uneventful = synonym none
  laceration = synonym mucosal_tear
  mucosal tears = our mucosal_tear
  no mucosal tear = -
  Perf = synonym perforation
  perforation? = -
  possible perforation = -
  desat = synonym hypoxia
  hypoxaemia = synonym hypoxia
  hypertension = -
  hypotension = disputed hypoxia
  aspiration pneumonia = disputed aspiration
  bleeding and perforation = -
  erosions = synonym ulcer
  erosion (superficial) = synonym ulcer
  perforatin = spelling perforation
  n/a = -
device
  rat-tooth = synonym forceps_rat
  Rat tooth forceps = our forceps_rat
  mouse tooth = synonym forceps_rat
  aligator = synonym forceps_alligator
  croc = synonym forceps_alligator
  rat/alligator = synonym forceps_combo
  Bx forceps = synonym forceps_biopsy
  cold forceps = synonym forceps_biopsy
  pelican = synonym forceps_other
  tripod = synonym prong
  3-prong = synonym prong
  snear = synonym snare
  hot snare 15 mm = synonym snare
  large net = synonym net
  Retreival net = synonym net
  basket-net = disputed net
  basket = disputed basket
  wire basket = our basket
  stone basket = synonym basket
  extraction balloon = synonym balloon
  cap = disputed cap
  cap + suction = synonym cap
  cap suction = synonym cap
  hood (transparent) = disputed cap
  distal attachment = disputed cap
  magnetic probe = synonym magnet_probe
  advanced to stomach = synonym push
  suction = our suction
  rigid = our rigid
  forceps = -
  hood = -
  latex hood = -
  over-tube = -
  overtube = -
  snare, net = -
  net or basket = -
  clip = -
  dilation balloon = -
  adrenaline = -
  nest = -
  bet = -
  snake = -
  share = -
  snares = our snare
  polypectomy snar = spelling snare
  alligator jwa = synonym forceps_alligator
  aligatorr = spelling forceps_alligator
  basket, net = -
  rat tooth, alligator = -
  rat, alligator = -
result
  object out = synonym removed
  part out = synonym piece
  slipped = synonym failed
  pushed to stomach = synonym pushed
  partial = disputed piece
  yes = disputed removed
  removed or pushed = -
weekday
  Mon = our mon
  Tues = our tue
  thurs = synonym thu
  Wensday = synonym wed
  Sunady = spelling sun
  sonday = -
  1 = -
  7 = -
malfunction
  none = synonym no
  no light = -
  Broken = synonym yes
  not working = synonym yes
one_piece
  en-bloc = synonym yes
  piecemeal = synonym no
cart_complete
  incomplete = synonym no
  item missing = synonym no
preclean_done
  not done = synonym no
biopsies_taken
  Biopsies taken = synonym yes
  no biopsies = synonym no
";

#[test]
fn words_of_exports_lead_to_the_codes_that_a_reader_gives_them() {
    let fields = coded_fields();
    let mut field = "";
    let mut wrong = Vec::new();
    let mut lines = 0;
    for line in EXPECTED.lines().filter(|line| !line.is_empty()) {
        let Some(line) = line.strip_prefix("  ") else {
            field = line;
            continue;
        };
        lines += 1;
        let (word, expected) = line.split_once(" = ").expect(line);
        let found = match suggest(field, fields[field], word) {
            None => "-".to_string(),
            Some(Suggestion { code, sureness }) => {
                let sureness = match sureness {
                    Sureness::OurCode => "our",
                    other => other.code(),
                };
                format!("{sureness} {code}")
            }
        };
        if found != expected {
            wrong.push(format!(
                "{field}: {word}: expected {expected}, found {found}"
            ));
        }
    }
    assert!(lines >= 150);
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn the_table_knows_every_field_and_contradicts_neither_itself_nor_our_codes() {
    let fields = coded_fields();
    let mut seen: BTreeMap<(&str, &str), usize> = BTreeMap::new();
    for (index, row) in ROWS.iter().enumerate() {
        let line = index + 2;
        let list = if row.field == YES_NO {
            YesNo::LIST
        } else {
            *fields
                .get(row.field.as_str())
                .unwrap_or_else(|| panic!("line {line}: no such field"))
        };
        assert!(!row.folded.is_empty(), "line {line}: no word");
        assert!(
            row.code.is_empty() || list.position(&row.code).is_some(),
            "line {line}: code"
        );
        assert!(
            !(row.code.is_empty() && row.is_sure),
            "line {line}: sure of nothing"
        );
        assert_eq!(
            seen.insert((&row.field, &row.folded), line),
            None,
            "line {line}: doublet"
        );
        for word in list.words {
            if [word.code, word.label].map(known).contains(&row.folded) {
                assert_eq!(row.code, word.code, "line {line}: against our own word");
            }
        }
    }
    let with_rows: BTreeSet<_> = ROWS.iter().map(|row| row.field.as_str()).collect();
    for (field, list) in fields {
        assert!(with_rows.contains(field) || list == YesNo::LIST, "{field}");
    }
}

#[test]
fn our_own_codes_and_labels_are_known_in_every_field() {
    for (field, list) in coded_fields() {
        for word in list.words {
            for text in [word.code, word.label] {
                let suggestion = suggest(field, list, text).unwrap_or_else(|| panic!("{text}"));
                assert_eq!(suggestion.code, word.code, "{field}: {text}");
                assert!(
                    matches!(suggestion.sureness, Sureness::OurCode | Sureness::Disputed),
                    "{field}: {text}"
                );
            }
        }
    }
}

#[test]
fn a_faulty_table_is_refused() {
    assert!(parse(TABLE).is_ok());
    assert!(parse("field,word,code\nsex,M,male\n").is_err());
    assert!(parse("field,word,code,sure\nsex,M,male,perhaps\n").is_err());
    assert!(parse("field,word,code,sure\nsex,M,male\n").is_err());
}

proptest::proptest! {
    #![proptest_config(proptest::prelude::ProptestConfig::with_cases(16))]

    #[test]
    fn any_text_gives_a_code_of_the_list_or_nothing(word in "\\PC{0,40}") {
        for (field, list) in coded_fields() {
            if let Some(suggestion) = suggest(field, list, &word) {
                assert!(list.position(suggestion.code).is_some());
            }
        }
    }
}
