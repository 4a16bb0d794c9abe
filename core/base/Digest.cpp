// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/base/Digest.h"

#include <array>
#include <fstream>
#include <memory>
#include <vector>

#include <openssl/evp.h>

namespace inkpeg {

namespace {

class Digester {
public:
    explicit Digester(DigestKind kind) : m_context(EVP_MD_CTX_new(), &EVP_MD_CTX_free)
    {
        EVP_DigestInit_ex(m_context.get(), kind == DigestKind::Sha256 ? EVP_sha256() : EVP_sha512(),
                          nullptr);
    }

    void add(const char* bytes, std::size_t count) { EVP_DigestUpdate(m_context.get(), bytes, count); }

    std::string hex()
    {
        std::array<unsigned char, EVP_MAX_MD_SIZE> raw{};
        unsigned int length = 0;
        EVP_DigestFinal_ex(m_context.get(), raw.data(), &length);
        static constexpr char Digits[] = "0123456789abcdef";
        std::string text;
        text.reserve(2U * length);
        for (unsigned int i = 0; i < length; ++i) {
            text += Digits[raw[i] >> 4U];
            text += Digits[raw[i] & 0xFU];
        }
        return text;
    }

private:
    std::unique_ptr<EVP_MD_CTX, decltype(&EVP_MD_CTX_free)> m_context;
};

} // namespace

std::string digestOf(std::string_view bytes, DigestKind kind)
{
    Digester digester(kind);
    digester.add(bytes.data(), bytes.size());
    return digester.hex();
}

Result<std::string> digestOfFile(const std::filesystem::path& file, DigestKind kind)
{
    std::ifstream stream(file, std::ios::binary);
    if (!stream)
        return Error{ErrorCode::NotFound, file.string() + ": cannot be opened for reading"};
    Digester digester(kind);
    std::vector<char> block(1U << 20U);
    while (stream) {
        stream.read(block.data(), static_cast<std::streamsize>(block.size()));
        digester.add(block.data(), static_cast<std::size_t>(stream.gcount()));
    }
    if (!stream.eof())
        return Error{ErrorCode::System, file.string() + ": reading stopped before the end of the file"};
    return digester.hex();
}

} // namespace inkpeg
