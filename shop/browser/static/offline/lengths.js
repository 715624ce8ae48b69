/* Reads a typed length as bending/lengths.py does: inches, or why not. The two are tested against each other. */

export class LengthError extends Error {
  constructor(code, text) {
    super(text);
    this.code = code;
  }
}

const LONGEST = 100000;
const LONGEST_TEXT = 60;
const METRIC = { mm: 1 / 25.4, cm: 10 / 25.4, m: 1000 / 25.4 };
const MARKS = new Map([
  ...[..."\u2018\u2019\u201b\u2032\u00b4`"].map((one) => [one, "'"]),
  ...[..."\u201c\u201d\u201f\u2033\u3003"].map((one) => [one, '"']),
  ...[..."\u2010\u2011\u2012\u2013\u2014\u2212"].map((one) => [one, "-"]),
  ...[..."\u2044\u2215"].map((one) => [one, "/"]),
  ...[..."\u00a0\u2009\u202f"].map((one) => [one, " "]),
]);
// What Python calls white space, which is not what \s says here.
const SPACES = /[\t-\r\x1c-\x20\x85\xa0\u1680\u2000-\u200a\u2028\u2029\u202f\u205f\u3000]+/;

const DECIMAL = "(?:[0-9]+\\.?[0-9]*|\\.[0-9]+)";
const FRACTION = "[0-9]+/[0-9]+";
const INCHES = `(?:${DECIMAL}|[0-9]+(?: |-)${FRACTION}|${FRACTION})`;
const whole = (pattern) => new RegExp(`^(?:${pattern})$`, "u");
const IMPERIAL = whole(`(?<feet>${DECIMAL}) ?'(?: ?-? ?(?<over>${INCHES}) ?"?)?|(?<inches>${INCHES}) ?"?`);
const METRIC_TEXT = whole(`(?<number>${DECIMAL}) ?(?<unit>mm|cm|m)`);
const FEET_DASH_INCHES = whole(`(?<a>[0-9]+)(?: ?- ?)(?<b>[0-9]+(?:[ -]${FRACTION})?|${FRACTION}) ?"?`);
const TWO_NUMBERS = whole(`(?<a>[0-9]+) (?<b>[0-9]+)(?<rest> ${FRACTION})? ?"?`);
const COMMA = /([0-9]+),([0-9]+)/;
const LONE = whole('(?<over>[0-9]+)/(?<under>[0-9]+) ?"?');

const refuse = (code, text) => {
  throw new LengthError(code, text);
};
const twoReadings = (one, other) => refuse("two_readings", `It has two readings, ${one} or ${other}: write which one it is.`);
const unreadable = () => refuse("not_a_length", "It isn't a length: write it like 62 1/2, 5'-2 1/2\", 62.5 or 1588 mm.");

/** Inches of a text; LengthError with the code empty, not_a_length, two_readings or too_long. */
export function parseLength(typed) {
  const text = plain(typed);
  if (!text) refuse("empty", "A length is missing here.");
  const minus = text.startsWith("-");
  const inches = read(minus ? text.slice(1).replace(new RegExp(`^${SPACES.source}`), "") : text);
  if (Math.abs(inches) > LONGEST) refuse("too_long", "A length is at most 100,000 in.");
  return minus ? -inches : inches;
}

function plain(typed) {
  const letters = [...typed];
  if (letters.length > LONGEST_TEXT) unreadable();
  const spelled = letters.map((one) => spelledFraction(MARKS.get(one) ?? one)).join("");
  const text = spelled.toLowerCase().replaceAll("''", '"').split(SPACES).filter(Boolean).join(" ").replace(/ ?\/ ?/g, "/");
  const feet = text.replace(/ ?(?:feet|foot|ft)(?![a-z])\.?/g, "'");
  return feet.replace(/ ?(?:inches|inch|in)(?![a-z])\.?/g, '"').replace(/^ +| +$/g, "");
}

/* Phones write ½ as one letter. */
function spelledFraction(letter) {
  const parts = letter.codePointAt(0) > 127 ? letter.normalize("NFKC").split("\u2044") : [];
  return parts.length === 2 && parts.every(Boolean) ? ` ${parts[0]}/${parts[1]} ` : letter;
}

function read(text) {
  refuseTwoReadings(text);
  const metric = METRIC_TEXT.exec(text)?.groups;
  if (metric) return Number(metric.number) * METRIC[metric.unit];
  const imperial = IMPERIAL.exec(text)?.groups;
  if (!imperial) unreadable();
  return imperial.inches ? inchesOf(imperial.inches) : feetAndInches(imperial.feet, imperial.over);
}

function feetAndInches(feet, over) {
  if (over === undefined) return Number(feet) * 12;
  if (feet.includes(".")) refuse("not_a_length", "It has parts of a foot and inches: write only one of them.");
  const inches = inchesOf(over);
  if (inches >= 12) twoReadings(`${Number(feet) * 12 + inches} in`, "feet with fewer than 12 inches");
  return Number(feet) * 12 + inches;
}

function inchesOf(text) {
  if (!text.includes("/")) return Number(text);
  const parts = text.split(/[ -]/);
  const [over, under] = parts.pop().split("/").map(BigInt);
  if (under === 0n) refuse("not_a_length", "It divides by zero.");
  if (parts.length > 0 && over >= under) refuse("not_a_length", "The fraction beside a whole number must be under one.");
  return Number(parts[0] ?? 0) + Number(over) / Number(under);
}

function refuseTwoReadings(text) {
  const comma = COMMA.exec(text);
  if (comma) twoReadings(`${comma[1]}.${comma[2]}`, `${comma[1]}${comma[2]}`);
  refuseBareDash(text);
  const two = TWO_NUMBERS.exec(text)?.groups;
  if (two) twoReadings(`${two.a}'-${two.b}${two.rest ?? ""}"`, `${two.a}${two.b}${two.rest ?? ""}"`);
  refuseRunTogether(text);
}

/* 62-1/2 is 62½ in the trade; every other dash between two bare numbers may be feet, or a minus. */
function refuseBareDash(text) {
  const dash = FEET_DASH_INCHES.exec(text)?.groups;
  if (!dash) return;
  const a = String(BigInt(dash.a));
  if (!/^[0-9]+\/[0-9]+$/.test(dash.b)) twoReadings(`${a}'-${dash.b.replace("-", " ")}"`, `${a} minus ${dash.b} in`);
  if (!text.includes(`${a}-${dash.b}`)) twoReadings(`${a} ${dash.b}`, `${a} minus ${dash.b}`);
}

/* 51/2 is 25 1/2, or 5 1/2 with its space lost. */
function refuseRunTogether(text) {
  const lone = LONE.exec(text)?.groups;
  if (!lone) return;
  const under = BigInt(lone.under);
  if (BigInt(lone.over) < under || under === 0n) return;
  for (let cut = 1; cut < lone.over.length; cut += 1) {
    const rest = BigInt(lone.over.slice(cut));
    if (rest > 0n && rest < under) {
      twoReadings(`${lone.over.slice(0, cut)} ${lone.over.slice(cut)}/${lone.under}`, `${Number(lone.over) / Number(under)}`);
    }
  }
}
