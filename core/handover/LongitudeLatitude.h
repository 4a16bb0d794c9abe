// SPDX-License-Identifier: GPL-3.0-or-later
// From the project's CRS to longitude and latitude (WGS 84), saying how good the conversion is.
#pragma once

#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "core/base/Result.h"
#include "core/base/Units.h"

namespace inkpeg {

/// Degrees.
struct LonLat {
    double longitude = 0;
    double latitude = 0;
};

/// What PROJ says of the operation that was chosen.
struct ConversionFacts {
    std::string operation;           ///< its name, e.g. "Inverse of UTM zone 32N + ETRS89 to WGS 84 (1)"
    std::optional<double> accuracyM; ///< as the register of operations states it; nothing if it does not
    bool ballpark = false;           ///< leaves out the change of datum: may be off by a hundred metres
    std::vector<std::string> missingGrids; ///< files a better operation would need, not on this machine
    std::string projVersion;

    /// One sentence for reports; it says every one of the above aloud.
    std::string inWords() const;
};

/// Converts points near one place. Move-only.
class LongitudeLatitude {
public:
    /// `around` are places in the project's CRS: the best operation depends on where one is.
    /// Errors: BadInput (PROJ does not know the CRS); Unsolvable (no operation leads to longitude and
    /// latitude).
    static Result<LongitudeLatitude> from(const std::string& crs, const std::vector<GroundM>& around);

    LongitudeLatitude(LongitudeLatitude&&) noexcept;
    LongitudeLatitude& operator=(LongitudeLatitude&&) noexcept;
    ~LongitudeLatitude();

    /// Errors: Unsolvable, naming the place that lies outside the conversion.
    Result<LonLat> at(GroundM place) const;
    const ConversionFacts& facts() const;

private:
    struct Held;
    explicit LongitudeLatitude(std::unique_ptr<Held> held);
    std::unique_ptr<Held> m_held;
};

} // namespace inkpeg
