//! Any bytes as a photograph. No panic; what is read has as many pixels as it says, and is drawn within any room.
#![no_main]

use libfuzzer_sys::fuzz_target;
use proofmark::report::picture::Raster;

fuzz_target!(|bytes: &[u8]| {
    let Ok(raster) = Raster::read(bytes) else { return };
    assert!(raster.width > 0 && raster.height > 0);
    assert_eq!(raster.pixels.len(), raster.width * raster.height);
    for (width, height) in [(80, 48), (1, 1), (200, 3)] {
        let small = raster.within(width, height);
        assert!(small.width <= width && small.height <= height, "{} x {}", small.width, small.height);
        assert_eq!(small.pixels.len(), small.width * small.height);
    }
});
