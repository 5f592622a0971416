//! Plain ASCII, for printers and radios that know nothing else.

/// Every sign that this program prints, in plain ASCII; any other letter by its
/// base where it has a common one, else `?`.
///
/// # Examples
/// ```
/// assert_eq!(ovalpeg::export::to_ascii("162 m ± 3, ½ f, 47°"), "162 m +/- 3, 1/2 f, 47 deg");
/// ```
#[must_use]
pub fn to_ascii(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for c in text.chars() {
        match c {
            '±' => out.push_str("+/-"),
            '½' => {
                // "1½" reads as a whole and a half.
                if out.ends_with(|d: char| d.is_ascii_digit()) {
                    out.push(' ');
                }
                out.push_str("1/2");
            }
            '°' => out.push_str(" deg"),
            '²' => out.push('2'),
            '×' => out.push('x'),
            '–' | '—' | '−' => out.push('-'),
            '’' | '‘' => out.push('\''),
            '“' | '”' => out.push('"'),
            '…' => out.push_str("..."),
            '·' => out.push('.'),
            'á' | 'à' | 'â' | 'ä' | 'ã' | 'å' => out.push('a'),
            'é' | 'è' | 'ê' | 'ë' => out.push('e'),
            'í' | 'ì' | 'î' | 'ï' => out.push('i'),
            'ó' | 'ò' | 'ô' | 'ö' | 'õ' => out.push('o'),
            'ú' | 'ù' | 'û' | 'ü' => out.push('u'),
            'ñ' => out.push('n'),
            'ç' => out.push('c'),
            c if c.is_ascii() => out.push(c),
            _ => out.push('?'),
        }
    }
    out
}
