"""The shop's own settings: people, devices, rates, operations and words; and who changed them."""

from django.urls import URLPattern, path

from shop.views import settings_audit as audit
from shop.views import settings_backups as backups
from shop.views import settings_customers as customers
from shop.views import settings_devices as devices
from shop.views import settings_materials as materials
from shop.views import settings_operations as operations
from shop.views import settings_pay as pay
from shop.views import settings_people as people
from shop.views import settings_rates as rates
from shop.views import settings_records as records
from shop.views import settings_shop as the_shop

urlpatterns: list[URLPattern] = [
    path("settings/", the_shop.settings, name="settings"),
    path("settings/shop/", the_shop.the_shop, name="settings-shop"),
    path("settings/words/", the_shop.words, name="words"),
    path("settings/hands/", people.hands, name="hands"),
    path("settings/hands/new/", people.hand_new, name="hand-new"),
    path("settings/hands/<int:pk>/", people.hand, name="hand"),
    path("settings/hands/<int:pk>/pin/", people.hand_pin, name="hand-pin"),
    path("settings/hands/<int:pk>/password/", people.hand_password, name="hand-password"),
    path("settings/hands/<int:pk>/left/", people.hand_left, name="hand-left"),
    path("settings/devices/", devices.devices, name="devices"),
    path("settings/devices/<int:pk>/revoke/", devices.device_revoke, name="device-revoke"),
    path("settings/backups/", backups.backups, name="backups"),
    path("settings/backups/now/", backups.backup_now, name="backup-now"),
    path("settings/rates/", rates.rates, name="rates"),
    path("settings/rates/overhead/", rates.rate_overhead, name="rate-overhead"),
    path("settings/rates/paid/<int:pk>/", pay.pay_terms, name="pay-terms"),
    path("settings/rates/overtime/<int:pk>/", pay.overtime_agreed, name="overtime-agreed"),
    path("settings/rates/<slug:kind>/<int:pk>/", rates.rate, name="rate"),
    path("settings/pay/", the_shop.pay, name="settings-pay"),
    path("settings/materials/", materials.materials, name="materials"),
    path("settings/materials/allowances/", the_shop.allowances, name="allowances"),
    path("settings/materials/new/", materials.material_new, name="material-new"),
    path("settings/materials/<int:pk>/", materials.material, name="material"),
    path("settings/materials/<int:pk>/retire/", materials.material_retire, name="material-retire"),
    path("settings/operations/", operations.operations, name="operations"),
    path("settings/operations/new/", operations.operation_new, name="operation-new"),
    path("settings/operations/<int:pk>/", operations.operation, name="operation"),
    path("settings/operations/<int:pk>/retire/", operations.operation_retire, name="operation-retire"),
    path("settings/operations/<int:pk>/restore/", operations.operation_restore, name="operation-restore"),
    path("settings/operations/<int:pk>/waits/", operations.wait_add, name="wait-add"),
    path("settings/waits/<int:pk>/drop/", operations.wait_drop, name="wait-drop"),
    path("settings/records/", records.records, name="records"),
    path("settings/records/hands/<int:pk>/", records.records_hand, name="records-hand"),
    path("settings/records/customers/", customers.records_customers, name="records-customers"),
    path("settings/records/customers/<int:pk>/", customers.records_customer, name="records-customer"),
    path("settings/changes/", audit.changes, name="changes"),
]
