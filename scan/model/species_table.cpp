#include "scan/model/species_table.hpp"

namespace flitchwise {
namespace {

/// Name, Latin name, green wood density in kg/m3, bark volume in % of the wood volume.
///
/// Density = 1000 x (oven-dry weight over green volume) x (1 + green moisture), Wood Handbook FPL-GTR-190
/// ch. 4. Specific gravity, moisture and bark share: USDA Forest Service, National Volume Estimator Library,
/// github.com/FMSC-Measurements/VolumeLibrary, commit 38548071d5aa, wdbkwtdata.inc (lineage: Miles and Smith
/// 2009, Res. Note NRS-38). Status: the three figures were read in that text for every row, the density is
/// computed from them. Rows with zeros have bark equations only; their Latin names are from memory.
constexpr SpeciesRow kSpecies[] = {
    // clang-format off
    {"Alder, red", "Alnus rubra", 737, 12.0},
    {"Ash, black", "Fraxinus nigra", 833, 16.0},
    {"Ash, green", "Fraxinus pennsylvanica", 833, 16.0},
    {"Ash, white", "Fraxinus americana", 801, 16.0},
    {"Aspen, quaking", "Populus tremuloides", 801, 14.4},
    {"Basswood, American", "Tilia americana", 657, 10.5},
    {"Beech, American", "Fagus grandifolia", 865, 6.0},
    {"Birch, paper", "Betula papyrifera", 833, 12.6},
    {"Birch, sweet", "Betula lenta", 1038, 9.8},
    {"Birch, yellow", "Betula alleghaniensis", 946, 9.8},
    {"Butternut", "Juglans cinerea", 737, 15.0},
    {"Cedar, Port-Orford", "Chamaecyparis lawsoniana", 679, 11.6},
    {"Cedar, northern white", "Thuja occidentalis", 577, 14.0},
    {"Cedar, yellow", "Callitropsis nootkatensis", 721, 11.6},
    {"Cherry, black", "Prunus serotina", 721, 9.2},
    {"Cottonwood, eastern", "Populus deltoides", 801, 22.0},
    {"Douglas-fir, coast", "Pseudotsuga menziesii", 609, 17.3},
    {"Elm, American", "Ulmus americana", 892, 14.0},
    {"Fir, Pacific silver", "Abies amabilis", 680, 14.0},
    {"Fir, balsam", "Abies balsamea", 721, 12.0},
    {"Fir, grand", "Abies grandis", 721, 12.0},
    {"Fir, noble", "Abies procera", 481, 10.8},
    {"Fir, subalpine", "Abies lasiocarpa", 0, 0},
    {"Fir, white", "Abies concolor", 753, 12.0},
    {"Hackberry", "Celtis occidentalis", 801, 15.0},
    {"Hemlock, eastern", "Tsuga canadensis", 0, 0},
    {"Hemlock, western", "Tsuga heterophylla", 657, 15.8},
    {"Hickory", "Carya", 0, 0},
    {"Incense-cedar", "Calocedrus decurrens", 721, 17.0},
    {"Larch, western", "Larix occidentalis", 769, 14.0},
    {"Locust, black", "Robinia pseudoacacia", 929, 15.0},
    {"Maple, sugar", "Acer saccharum", 881, 15.6},
    {"Oak, black", "Quercus velutina", 0, 0},
    {"Oak, northern red", "Quercus rubra", 1025, 20.0},
    {"Oak, white", "Quercus alba", 1010, 16.0},
    {"Pine, eastern white", "Pinus strobus", 561, 16.0},
    {"Pine, loblolly", "Pinus taeda", 849, 16.6},
    {"Pine, lodgepole", "Pinus contorta", 625, 8.9},
    {"Pine, longleaf", "Pinus palustris", 881, 14.0},
    {"Pine, ponderosa", "Pinus ponderosa", 721, 25.6},
    {"Pine, shortleaf", "Pinus echinata", 0, 0},
    {"Pine, slash", "Pinus elliottii", 0, 0},
    {"Pine, sugar", "Pinus lambertiana", 0, 0},
    {"Pine, western white", "Pinus monticola", 0, 0},
    {"Redcedar, eastern", "Juniperus virginiana", 593, 12.0},
    {"Redcedar, western", "Thuja plicata", 433, 10.6},
    {"Redwood, old-growth", "Sequoia sempervirens", 801, 18.0},
    {"Spruce, Engelmann", "Picea engelmannii", 625, 11.2},
    {"Spruce, Sitka", "Picea sitchensis", 529, 12.5},
    {"Sweetgum", "Liquidambar styraciflua", 801, 15.0},
    {"Sycamore, American", "Platanus occidentalis", 833, 8.0},
    {"Walnut, black", "Juglans nigra", 913, 15.0},
    {"Yellow-poplar", "Liriodendron tulipifera", 780, 18.0},
    // clang-format on
};

// Status: the coefficients were read in the agency's code that cites these publications
// (github.com/FMSC-Measurements/VolumeLibrary, commit 38548071d5aa, files_not_in_vollib/fvs_bratio.f); the
// title behind "RP-SE" is from memory. The last one is an expert's statement, not a paper.
constexpr const char* kClark = "Clark 1991 (RP-SE), Table 9";
constexpr const char* kDolph = "Dolph 1984, Res. Note PSW-368";
constexpr const char* kWalters = "Walters et al., Research Bulletin 50";
constexpr const char* kFvs = "USDA Forest Service, FVS Inland Empire variant, constant bark ratios";
constexpr const char* kGoudie = "BC Ministry of Forests, statement of 1993 (not a paper)";

/// Species, stand, source, single bark thickness in inches at 10, 14 and 20 inches over bark at breast
/// height, computed from the published DIB(DOB): (DOB - DIB) / 2.
constexpr BarkRow kBark[] = {
    // clang-format off
    {"Pine, shortleaf", "Shortleaf pine", kClark, {0.568, 0.707, 0.916}},
    {"Pine, slash", "Slash pine", kClark, {0.681, 0.843, 1.087}},
    {"Pine, longleaf", "Longleaf pine", kClark, {0.592, 0.737, 0.955}},
    {"Pine, eastern white", "Eastern white pine", kClark, {0.555, 0.714, 0.953}},
    {"Pine, loblolly", "Loblolly pine", kClark, {0.670, 0.842, 1.099}},
    {"Hemlock, eastern", "Eastern hemlock", kClark, {0.411, 0.566, 0.797}},
    {"Maple, sugar", "Sugar maple (maple group)", kClark, {0.317, 0.424, 0.584}},
    {"Hickory", "Hickory", kClark, {0.587, 0.700, 0.870}},
    {"Beech, American", "American beech", kClark, {0.212, 0.270, 0.358}},
    {"Ash, white", "White ash", kClark, {0.551, 0.674, 0.859}},
    {"Walnut, black", "Black walnut", kClark, {0.497, 0.612, 0.784}},
    {"Sweetgum", "Sweetgum", kClark, {0.397, 0.477, 0.597}},
    {"Yellow-poplar", "Yellow-poplar", kClark, {0.494, 0.646, 0.874}},
    {"Cherry, black", "Black cherry", kClark, {0.357, 0.474, 0.650}},
    {"Oak, white", "White oak", kClark, {0.431, 0.555, 0.742}},
    {"Oak, northern red", "Northern red oak", kClark, {0.501, 0.596, 0.740}},
    {"Oak, black", "Black oak", kClark, {0.613, 0.716, 0.872}},
    {"Basswood, American", "American basswood", kClark, {0.414, 0.507, 0.648}},
    {"Fir, white", "White fir (California)", kDolph, {0.624, 0.842, 1.169}},
    {"Pine, ponderosa", "Ponderosa/Jeffrey pine (Sierra Nevada)", kDolph, {0.739, 0.946, 1.255}},
    {"Incense-cedar", "Incense-cedar", kDolph, {0.840, 1.166, 1.653}},
    {"Pine, sugar", "Sugar pine", kDolph, {0.640, 0.867, 1.208}},
    {"Douglas-fir, coast", "Douglas-fir (SW Oregon)", kWalters, {0.591, 0.850, 1.247}},
    {"Pine, western white", "Western white pine", kFvs, {0.180, 0.252, 0.360}},
    {"Larch, western", "Western larch", kFvs, {0.745, 1.043, 1.490}},
    {"Douglas-fir, coast", "Douglas-fir (Inland)", kFvs, {0.665, 0.931, 1.330}},
    {"Fir, grand", "Grand fir", kFvs, {0.425, 0.595, 0.850}},
    {"Hemlock, western", "Western hemlock", kFvs, {0.330, 0.462, 0.660}},
    {"Redcedar, western", "Western redcedar", kFvs, {0.250, 0.350, 0.500}},
    {"Pine, lodgepole", "Lodgepole pine", kFvs, {0.155, 0.217, 0.310}},
    {"Spruce, Engelmann", "Engelmann spruce", kFvs, {0.220, 0.308, 0.440}},
    {"Fir, subalpine", "Subalpine fir", kFvs, {0.315, 0.441, 0.630}},
    {"Pine, ponderosa", "Ponderosa pine (Inland)", kFvs, {0.550, 0.770, 1.100}},
    {"Douglas-fir, coast", "Douglas-fir (British Columbia)", kGoudie, {0.450, 0.630, 0.900}},
    // clang-format on
};

}  // namespace

std::span<const SpeciesRow> species_rows() {
  return kSpecies;
}

std::span<const BarkRow> bark_rows() {
  return kBark;
}

}  // namespace flitchwise
