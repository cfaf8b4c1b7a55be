#include "photo/labels.h"

#define ZX_USE_UTF8 1
#include <ZXing/ReadBarcode.h>

#include <algorithm>

namespace lotwright::photo {

std::vector<std::string> labels_in(const Picture& picture) {
  const ZXing::ImageView view(picture.rgb.data(), picture.width, picture.height,
                              ZXing::ImageFormat::RGB);
  ZXing::DecodeHints hints;
  hints.setFormats(ZXing::BarcodeFormat::QRCode | ZXing::BarcodeFormat::Code128);
  hints.setMaxNumberOfSymbols(kMostLabels);
  std::vector<std::string> texts;
  for (const ZXing::Result& result : ZXing::ReadBarcodes(view, hints)) {
    std::string text = result.text();
    if (result.isValid() && !text.empty() && std::ranges::find(texts, text) == texts.end()) {
      texts.push_back(std::move(text));
    }
  }
  return texts;
}

}  // namespace lotwright::photo
