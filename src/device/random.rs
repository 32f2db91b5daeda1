//! Random bytes for ids.

/// Ten random bytes from the browser's generator.
pub fn ten_bytes() -> [u8; 10] {
    let mut bytes = [0; 10];
    let filled = super::window()
        .and_then(|window| window.crypto().ok())
        .and_then(|crypto| crypto.get_random_values_with_u8_array(&mut bytes).ok());
    if filled.is_none() {
        // Without the generator, ids still differ: clock and Math.random.
        for byte in &mut bytes {
            *byte = (js_sys::Math::random() * 256.0) as u8;
        }
    }
    bytes
}
