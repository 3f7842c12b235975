//! A QR code (ISO/IEC 18004) as SVG: level M, four light modules round it, black on white whatever the page's colours,
//! for a scanner wants it so.

use fast_qr::ECL;
use fast_qr::QRBuilder;
use fast_qr::convert::Builder;
use fast_qr::convert::svg::SvgBuilder;

use crate::web::error::Error;

const QUIET_MODULES: usize = 4;

/// # Errors
/// An address longer than a code can hold.
pub fn svg(address: &str) -> Result<String, Error> {
    let code = QRBuilder::new(address).ecl(ECL::M).build().map_err(Error::internal)?;
    Ok(SvgBuilder::default().margin(QUIET_MODULES).to_str(&code))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_label_s_address_fits_a_small_code_with_its_quiet_zone() {
        let address = "http://192.168.100.100:8730/log/vessels/01900000-0000-7000-8000-000000000000";
        let code = svg(address).unwrap();
        // ISO/IEC 18004, table 7: version 5 at level M takes 84 bytes; a version has 17 + 4 times its number of modules.
        assert!(address.len() <= 84);
        assert!(code.starts_with("<svg viewBox=\"0 0 45 45\""), "{}", &code[..60]);
        assert!(!code.contains("style=") && !code.contains("<?xml"), "it stands in a page as it is");
        assert!(svg(&"x".repeat(3_000)).is_err(), "more than any code holds");
    }
}
